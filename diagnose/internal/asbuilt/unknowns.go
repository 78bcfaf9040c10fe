package asbuilt

import (
	"math"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
)

// Unknowns are the as-built parameters θ, standard normal each, and how the
// model's coefficients follow from them: a coefficient is a sum of parts, and
// a part is base·exp(Σ sd·θ) or base + Σ sd·θ.
type Unknowns struct {
	M             *airflow.Model
	N             int // parameters, survey's own ones not counted
	Parts         []PartUnknown
	Filter, Speed int // indices into parts
	Pulls         []Pull
}

type PartUnknown struct {
	airflow.Part
	Added bool
	Ix    [3]int32   // parameters, -1: none
	Sd    [3]float64 // of each
}

// Pull is a part that depends on parameters, with what a row of derivatives
// needs of it close together.
type Pull struct {
	Part int32    // index of the part
	Ix   [3]int32 // where in a row what each parameter does goes; -1: nowhere
	at   int32    // where the part's coefficient stands in airflow.Coefs.Flat; -1: not there
	sd   [3]float64
}

// Pull lists the parts that depend on a parameter.
func (u *Unknowns) Pull() {
	u.Pulls = make([]Pull, 0, len(u.Parts))
	for i := range u.Parts {
		if p := &u.Parts[i]; max(p.Ix[0], p.Ix[1], p.Ix[2]) >= 0 {
			u.Pulls = append(u.Pulls, Pull{int32(i), p.Ix, int32(u.M.At(p.Slot)), p.Sd})
		}
	}
}

// How the page's uncertainty of the filter divides: what it drops when clean is
// as built, and known from a baseline; its state differs from survey to survey.
// The squares add up to one. Common practice, no source.
const (
	FilterBuilt = 0.87
	FilterOfDay = 0.5
)

// FilterDay is the spread of the filter's state on the day, logarithm.
func (u *Unknowns) FilterDay() float64 { return u.Parts[u.Filter].Sd[0] * FilterOfDay / FilterBuilt }

// ForSurvey is u with the parameters that a survey has for itself: the state of
// the filter, and what the fan's speed differs on the day.
func (u *Unknowns) ForSurvey(filter, speed int) *Unknowns {
	v := *u
	v.Parts = append([]PartUnknown(nil), u.Parts...)
	v.Parts[u.Filter].Ix[2], v.Parts[u.Filter].Sd[2] = int32(filter), u.FilterDay()
	v.Parts[u.Speed].Ix[2], v.Parts[u.Speed].Sd[2] = int32(speed), SpeedOfDay
	v.Pull()
	return &v
}

// lawOfJoins is the family of what all joins share in how published laws differ.
const lawOfJoins = -1

// family says which parts deviate together: the friction of hoses apart from
// that of pipe, all else by kind.
func family(s *duct.System, p airflow.Part) int {
	switch p.What {
	case airflow.Friction:
		if s.Ducts[p.Duct].Material == "flexible" {
			return 1
		}
	case airflow.Entry, airflow.Exchange:
		if !s.Ducts[p.Duct].Straight {
			return 1
		}
	}
	return 0
}

// LeastAdded is the most by which an added part may lie below its page: beyond
// it joins would drive the air, and there is no flow to be found.
const LeastAdded = 0.5

// Coefs fills c with the coefficients at θ and vals with each part's derivative
// by its (scaled) parameters: the value of a part in proportion, 1 of an added one.
func (u *Unknowns) Coefs(theta []float64, c *airflow.Coefs, vals []float64) {
	clearCoefs(c)
	for i := range u.Parts {
		p := &u.Parts[i]
		var e float64
		for k, j := range p.Ix {
			if j >= 0 {
				e += p.Sd[k] * theta[j]
			}
		}
		vals[i] = p.As(e, c)
	}
}

// As adds a part to its coefficient when it deviates by e, and returns the
// slope. Both kinds bend to their bounds smoothly, or a fit would not find its
// way along them.
func (p *PartUnknown) As(e float64, c *airflow.Coefs) float64 {
	v, d := p.Base, p.Base
	switch {
	case p.Added && e < -LeastAdded/2:
		d = math.Exp(2*e/LeastAdded + 1)
		v -= LeastAdded * (1 - d/2)
	case p.Added:
		v, d = v+e, 1
	case e > mostGrown: // straight on
		d *= math.Exp(mostGrown)
		v = d * (1 + e - mostGrown)
	case e != 0:
		v *= math.Exp(e)
		d = v
	}
	*p.Slot.Of(c) += v
	return d
}

// mostGrown is the logarithm of the factor beyond which a part grows no faster.
const mostGrown = 3

func clearCoefs(c *airflow.Coefs) {
	for _, s := range [][]float64{c.K, c.Friction, c.Leak, c.Seep, c.Bring, c.GateOpen, c.GateArea, c.Plain} {
		clear(s)
	}
	c.Speed, c.Pressure, c.MostAir, c.Shape, c.Bend, c.Cyclone, c.Filter, c.Bin = 0, 0, 0, 0, 0, 0, 0, 0
	c.Turns, c.MotorFull, c.MotorIdle, c.MotorAmps = 0, 0, 0, 0
}

// Row adds to j the derivatives of a reading by θ, from those by coefficients.
func (u *Unknowns) Row(g *airflow.Gradient, vals, j []float64) { u.Gather(u.Pulls, g, vals, j) }

// Gather adds to j what some pulls do to a reading, where each says that it goes.
func (u *Unknowns) Gather(pulls []Pull, g *airflow.Gradient, vals, j []float64) {
	flat := g.Flat()
	for i := range pulls {
		p := &pulls[i]
		d := u.slope(p, flat, g, vals)
		if d == 0 {
			continue
		}
		for k, x := range p.Ix {
			if x >= 0 {
				j[x] += d * p.sd[k]
			}
		}
	}
}

// Slope is the derivative of a reading by the (scaled) sum of a part's parameters.
func (u *Unknowns) Slope(p *Pull, g *airflow.Gradient, vals []float64) float64 {
	return u.slope(p, g.Flat(), g, vals)
}

func (u *Unknowns) slope(p *Pull, flat []float64, g *airflow.Gradient, vals []float64) float64 {
	if p.at >= 0 {
		return flat[p.at] * vals[p.Part]
	}
	return *u.Parts[p.Part].Slot.Of(&g.Coefs) * vals[p.Part]
}
