package diagnose

import (
	"math"
	"slices"
)

// standing is where a fit stands, of one survey or of two at once: both go on
// by the same rules.
type standing interface {
	point() *point
	cost() float64      // how improbable the point is, in nats
	quad() float64      // squared misfit of the linear target
	predict() error     // at the point
	try() (ok, on bool) // the same of a point that may be no good; on: others may be tried
	lose()              // the fit's point can't be predicted any more
}

// advance moves towards the target, no further than a stride, and predicts
// there: all the way, or as far as makes the point more probable. It returns
// the largest move asked for, and whether it went; if not, all is as before.
func advance(x standing, next point, tries int) (float64, bool) {
	at := x.point()
	scale, moved := at.stride(next)
	old, cost := at.clone(), x.cost()
	for range tries {
		*at = old.clone()
		at.towards(next, scale)
		if at.dual == nil && scale == 1 {
			at.dual = slices.Clone(next.dual)
		}
		ok, on := x.try()
		if !ok && !on {
			break
		}
		if !ok {
			scale /= farBack
			continue
		}
		if x.cost() <= cost+costSlack {
			return moved, true
		}
		scale /= 2
	}
	*at = old
	if x.predict() != nil {
		x.lose() // it could be before; nothing is to come of half of it
	}
	return moved, false
}

// triesOf is how often a step may be shortened. By an old linearisation the way
// may lead uphill, and shorter steps only creep up it: a new one is due.
func triesOf(afresh bool) int {
	if afresh {
		return advanceTries
	}
	return 1
}

// toCome is what a step all the way to the target promises to gain, in nats:
// the linearised misfit there is less by that. Where it is not known a small
// move will do.
func toCome(x standing, moved float64) float64 {
	left := x.cost() - x.quad()/2
	if math.IsInf(left, 0) && moved < settledStep {
		return 0
	}
	return left
}

// stride is how much of the way to next one step may go, and the largest move
// of all that it asks for.
func (p point) stride(next point) (scale, moved float64) {
	scale = 1
	for k := range next.z {
		dz := math.Abs(next.z[k] - p.z[k])
		scale, moved = min(scale, longestMove.z/max(dz, 1e-12)), max(moved, dz)
	}
	for x := range next.theta {
		dt := math.Abs(next.theta[x] - p.theta[x])
		scale, moved = min(scale, longestMove.theta/max(dt, 1e-12)), max(moved, dt)
	}
	return scale, moved
}

// towards moves a point some way to another.
func (p *point) towards(q point, share float64) {
	if share == 0 {
		return
	}
	for x := range p.theta {
		p.theta[x] += share * (q.theta[x] - p.theta[x])
	}
	for k := range p.z {
		p.z[k] += share * (q.z[k] - p.z[k])
	}
	if p.dual == nil || q.dual == nil {
		p.dual = nil
		return
	}
	for x := range p.dual {
		p.dual[x] += share * (q.dual[x] - p.dual[x])
	}
}

// longestMove is how far one step may go, in a severity and in a parameter.
var longestMove = struct{ z, theta float64 }{1.2, 3}

const (
	advanceTries = 8
	costSlack    = 1e-3 // nats that a step may lose
	farBack      = 8    // where nothing could be solved, which takes long to find out
)

// costs is what a point costs, in nats: the misfit to the readings and the
// distance from the prior mean. After a baseline the prior is narrow in many
// directions at once and wide in others, and a full step along the wide ones
// bends out of the narrow. Infinite if the distance is not known.
type costs struct {
	y, h, noise  []float64
	mean         []float64 // of the parameters; 0 beyond it
	kappa, rough float64
}

// of is the cost of a point with faults of so many kinds.
func (c costs) of(p point, kind func(k int) Kind) float64 {
	if p.dual == nil {
		return math.Inf(1)
	}
	var sum float64
	for i, h := range c.h {
		r := c.y[i] - h
		sum += r * r / (c.noise[i] * c.rough * c.rough)
	}
	k2 := c.kappa * c.kappa
	for x, v := range p.dual {
		off := p.theta[x]
		if x < len(c.mean) {
			off -= c.mean[x]
		}
		sum += v * off / k2
	}
	for k, z := range p.z {
		sp := severities[kind(k)]
		sum += (z - sp.mean) * (z - sp.mean) / (sp.sd * sp.sd)
	}
	return sum / 2
}
