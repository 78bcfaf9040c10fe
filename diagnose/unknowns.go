package diagnose

import (
	"math"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
)

// unknowns are the as-built parameters θ, standard normal each, and how the
// model's coefficients follow from them: a coefficient is a sum of parts, and
// a part is base·exp(Σ sd·θ) or base + Σ sd·θ.
type unknowns struct {
	m             *airflow.Model
	n             int // parameters, survey's own ones not counted
	parts         []partUnknown
	filter, speed int // indices into parts
	pulls         []pull
}

type partUnknown struct {
	airflow.Part
	added bool
	ix    [3]int32   // parameters, -1: none
	sd    [3]float64 // of each
}

// pull is a part that depends on a parameter, with what a row of derivatives
// needs of it close together.
type pull struct {
	part, at int32 // its index, and where its coefficient stands in airflow.Coefs.Flat
	ix       [3]int32
	sd       [3]float64
}

// pull lists the parts that depend on a parameter.
func (u *unknowns) pull() {
	u.pulls = make([]pull, 0, len(u.parts))
	for i := range u.parts {
		if p := &u.parts[i]; max(p.ix[0], p.ix[1], p.ix[2]) >= 0 {
			u.pulls = append(u.pulls, pull{int32(i), int32(u.m.At(p.Slot)), p.ix, p.sd})
		}
	}
}

func newUnknowns(m *airflow.Model) *unknowns {
	u := &unknowns{m: m}
	fam := map[[2]int]int32{}
	own := map[[3]int32]int32{}
	next := func() int32 { u.n++; return int32(u.n - 1) }
	scale := 1.0
	if l := m.Sys.Uncertainty.Losses; l > 0 {
		scale = l / usualLosses
	}
	for _, p := range m.Parts() {
		sp := spreads[p.What]
		q := partUnknown{Part: p, added: sp.added, ix: [3]int32{-1, -1, -1}}
		f := 1.0
		if sp.losses {
			f = scale
		}
		sdOwn := sp.own * f
		switch p.What {
		case airflow.FanSpeed:
			if v := m.Sys.Uncertainty.Fan; v > 0 {
				sdOwn = v
			}
			u.speed = len(u.parts)
		case airflow.FilterLoss:
			if v := m.Sys.Uncertainty.Filter; v > 0 {
				sdOwn = v
			}
			sdOwn *= filterBuilt
			u.filter = len(u.parts)
		}
		// A duct's segments share their duct's own deviation: one hose, one roughness.
		key := [3]int32{int32(p.What), max(p.Duct, -1), max(p.Port, p.Gate)}
		i, ok := own[key]
		if !ok {
			i = next()
			own[key] = i
		}
		q.ix[0], q.sd[0] = i, sdOwn
		if sp.family > 0 {
			k := [2]int{int(p.What), family(m.Sys, p)}
			j, ok := fam[k]
			if !ok {
				j = next()
				fam[k] = j
			}
			q.ix[1], q.sd[1] = j, sp.family*f
		}
		u.parts = append(u.parts, q)
	}
	u.places()
	u.pull()
	return u
}

// How the page's uncertainty of the filter divides: what it drops when clean is
// as built, and known from a baseline; its state differs from survey to survey.
// The squares add up to one. Common practice, no source.
const (
	filterBuilt = 0.87
	filterOfDay = 0.5
)

// filterDay is the spread of the filter's state on the day, logarithm.
func (u *unknowns) filterDay() float64 { return u.parts[u.filter].sd[0] * filterOfDay / filterBuilt }

// forSurvey is u with the parameters that a survey has for itself: the state of
// the filter, and what the fan's speed differs on the day.
func (u *unknowns) forSurvey(filter, speed int) *unknowns {
	v := *u
	v.parts = append([]partUnknown(nil), u.parts...)
	v.parts[u.filter].ix[2], v.parts[u.filter].sd[2] = int32(filter), u.filterDay()
	v.parts[u.speed].ix[2], v.parts[u.speed].sd[2] = int32(speed), speedOfDay
	v.pull()
	return &v
}

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

// leastAdded is the most by which an added part may lie below its page: beyond
// it joins would drive the air, and there is no flow to be found.
const leastAdded = 0.5

// coefs fills c with the coefficients at θ and vals with each part's derivative
// by its (scaled) parameters: the value of a part in proportion, 1 of an added one.
func (u *unknowns) coefs(theta []float64, c *airflow.Coefs, vals []float64) {
	clearCoefs(c)
	for i := range u.parts {
		p := &u.parts[i]
		var e float64
		for k, j := range p.ix {
			if j >= 0 {
				e += p.sd[k] * theta[j]
			}
		}
		vals[i] = p.as(e, c)
	}
}

// as adds a part to its coefficient when it deviates by e, and returns the
// slope. Both kinds bend to their bounds smoothly, or a fit would not find its
// way along them.
func (p *partUnknown) as(e float64, c *airflow.Coefs) float64 {
	v, d := p.Base, p.Base
	switch {
	case p.added && e < -leastAdded/2:
		d = math.Exp(2*e/leastAdded + 1)
		v -= leastAdded * (1 - d/2)
	case p.added:
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
	c.Speed, c.Pressure, c.Cyclone, c.Filter = 0, 0, 0, 0
}

// row adds to j the derivatives of a reading by θ, from those by coefficients.
func (u *unknowns) row(g *airflow.Gradient, vals, j []float64) {
	flat := g.Flat()
	for i := range u.pulls {
		p := &u.pulls[i]
		var d float64
		if p.at >= 0 {
			d = flat[p.at]
		} else {
			d = *u.parts[p.part].Slot.Of(&g.Coefs)
		}
		d *= vals[p.part]
		if d == 0 {
			continue
		}
		for k, x := range p.ix {
			if x >= 0 {
				j[x] += d * p.sd[k]
			}
		}
	}
}
