package fit

import (
	"math"
	"slices"

	"lostair/diagnose/fault"
)

// descent is where a fit stands.
type descent interface {
	point() *Point
	Cost() float64       // how improbable the point is, in nats
	quad() float64       // squared misfit of the linear target
	predict() error      // at the point
	try() (ok, on bool)  // the same of a point that may be no good; on: others may be tried
	bent() (Point, bool) // the target by the same linearisation from the point tried; false: none is wanted
	lose()               // the fit's point can't be predicted any more
}

// Advance moves towards the target, no further than a stride, and predicts
// there: all the way, or as far as makes the point more probable. It returns
// the largest move asked for, and whether it went; if not, all is as before.
func Advance(x descent, next Point, tries int) (float64, bool) {
	at := x.point()
	scale, moved := at.stride(next)
	old, cost := at.Clone(), x.Cost()
	for range tries {
		*at = old.Clone()
		at.Towards(next, scale)
		if at.Dual == nil && scale == 1 {
			at.Dual = slices.Clone(next.Dual)
		}
		ok, on := x.try()
		if !ok && !on {
			break
		}
		if !ok {
			scale /= farBack
			continue
		}
		if x.Cost() <= cost+costSlack {
			return moved, true
		}
		if scale == 1 && straightened(x, cost) {
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

// straightened goes on from a step that led uphill to what the same derivatives
// make of where it led: along a bent valley, in which readings hold a mix of
// parameters tight and the rest of them loosely, a straight step climbs the wall,
// and this one comes back down to the floor.
func straightened(x descent, cost float64) bool {
	to, ok := x.bent()
	if !ok {
		return false
	}
	*x.point() = to
	ok, _ = x.try()
	return ok && x.Cost() <= cost+costSlack
}

// TriesOf is how often a step may be shortened. By an old linearisation the way
// may lead uphill, and shorter steps only creep up it: a new one is due.
func TriesOf(afresh bool) int {
	if afresh {
		return AdvanceTries
	}
	return 1
}

// toCome is what a step all the way to the target promises to gain, in nats:
// the linearised misfit there is less by that. Where it is not known a small
// move will do.
func toCome(x descent, moved float64) float64 {
	left := x.Cost() - x.quad()/2
	if math.IsInf(left, 0) && moved < settledStep {
		return 0
	}
	return left
}

// stride is how much of the way to next one step may go, and the largest move
// of all that it asks for.
func (p Point) stride(next Point) (scale, moved float64) {
	scale = 1
	for k := range next.Z {
		dz := math.Abs(next.Z[k] - p.Z[k])
		scale, moved = min(scale, longestMove.z/max(dz, 1e-12)), max(moved, dz)
	}
	for x := range next.Theta {
		dt := math.Abs(next.Theta[x] - p.Theta[x])
		scale, moved = min(scale, longestMove.theta/max(dt, 1e-12)), max(moved, dt)
	}
	return scale, moved
}

// Towards moves a point some way to another.
func (p *Point) Towards(q Point, share float64) {
	if share == 0 {
		return
	}
	for x := range p.Theta {
		p.Theta[x] += share * (q.Theta[x] - p.Theta[x])
	}
	for k := range p.Z {
		p.Z[k] += share * (q.Z[k] - p.Z[k])
	}
	if p.Dual == nil || q.Dual == nil {
		p.Dual = nil
		return
	}
	for x := range p.Dual {
		p.Dual[x] += share * (q.Dual[x] - p.Dual[x])
	}
}

// longestMove is how far one step may go, in a severity and in a parameter.
var longestMove = struct{ z, theta float64 }{1.2, 3}

const (
	AdvanceTries = 8
	costSlack    = 1e-3 // nats that a step may lose
	farBack      = 8    // where nothing could be solved, which takes long to find out
)

// costs is what a point costs, in nats: the misfit to the readings and the
// distance from the prior mean. After a baseline the prior is narrow in many
// directions at once and wide in others, and a full step along the wide ones
// bends out of the narrow. Infinite if the distance is not known.
type costs struct {
	y, h, noise            []float64
	mean                   []float64 // of the parameters; 0 beyond it
	priorScale, noiseScale float64
}

// of is the cost of a point with faults of such usual severities.
func (c costs) of(p Point, usual func(k int) fault.SeverityPrior) float64 {
	if p.Dual == nil {
		return math.Inf(1)
	}
	var sum float64
	for i, h := range c.h {
		r := c.y[i] - h
		sum += r * r / (c.noise[i] * c.noiseScale * c.noiseScale)
	}
	k2 := c.priorScale * c.priorScale
	for x, v := range p.Dual {
		off := p.Theta[x]
		if x < len(c.mean) {
			off -= c.mean[x]
		}
		sum += v * off / k2
	}
	for k, z := range p.Z {
		sp := usual(k)
		sum += (z - sp.Mean) * (z - sp.Mean) / (sp.Sd * sp.Sd)
	}
	return sum / 2
}
