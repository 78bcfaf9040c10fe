package fit

import (
	"math"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/observe"
	"lostair/readings/units"
)

// SetCoefs works out the coefficients for a point with faults.
func (s *Study) SetCoefs(p Point, faults []*fault.Variant) {
	s.U.Coefs(p.Theta, &s.Coef, s.Vals)
	for i, v := range faults {
		v.Apply(&s.Coef, p.Z[i])
		switch v.Kind {
		case fault.FanWeak:
			s.Vals[s.U.Speed] *= v.Keeps(p.Z[i])
		case fault.FilterLoaded:
			s.Vals[s.U.Filter] *= v.Keeps(p.Z[i])
		}
	}
}

// Predict solves every configuration and writes what each observation should be into h.
func (s *Study) Predict(p Point, h Hypothesis, out []float64) error {
	if s.pair != nil {
		return s.pair.predict(p, h, out)
	}
	s.SetCoefs(p, h.Faults)
	return s.PredictSet(p, h, out, nil)
}

// PredictSet is predict with the coefficients set before, in the
// configurations that where says; nil: in all.
func (s *Study) PredictSet(p Point, h Hypothesis, out []float64, where []bool) error {
	for c, st := range s.States {
		if len(s.By[c]) == 0 || where != nil && !where[c] {
			continue
		}
		s.solves++
		if err := st.Solve(&s.Coef, s.B.Configs[c].Config); err != nil {
			s.Failed = err
			return err
		}
		for _, i := range s.By[c] {
			out[i] = s.Value(st, p.Theta, i)
		}
	}
	for _, w := range h.Rows {
		switch {
		case w.Cfg >= 0:
			out[w.Observation] = s.Elsewhere(p, w)
		case w.Slip() && s.Observation[w.Observation].Off == 0:
			o := &s.Observation[w.Observation]
			out[w.Observation] += p.Theta[o.GainIx] * (w.Gain - o.Gain)
		}
	}
	return nil
}

// predict is what each survey should read at a point.
func (p *Pair) predict(at Point, h Hypothesis, out []float64) error {
	for k, s := range p.S {
		q, part, _ := p.Part(k, at, h)
		if err := s.Predict(q, part, out[p.Row(k):p.Row(k)+len(s.Observation)]); err != nil {
			p.Failed = err
			return err
		}
	}
	return nil
}

// Elsewhere is what a row should be if it was read otherwise than written:
// with other gates, at another point, or as a total pressure.
func (s *Study) Elsewhere(p Point, w *Wrong) float64 {
	st := s.States[w.Cfg]
	if len(s.By[w.Cfg]) == 0 {
		if err := st.Solve(&s.Coef, s.B.Configs[w.Cfg].Config); err != nil {
			return math.NaN()
		}
	}
	o := s.as(w)
	y := ValueOf(st, p.Theta, &o, s.Day)
	switch {
	case w.Total && o.Probe.Quantity() == units.Suction:
		y -= st.VelocityPressure(o.Probe)
	case w.Total:
		y += st.VelocityPressure(o.Probe)
	}
	return y
}

// as is the observation that a wrong row really was.
func (s *Study) as(w *Wrong) observe.Observation {
	o := s.Observation[w.Observation]
	if w.Slip() {
		o.Y, o.Gain, o.Fresh = w.Y, w.Gain, w.Fresh
	}
	if w.Probe != nil {
		o.Probe, o.TapIx, o.AxisIx = *w.Probe, -1, -1
	}
	return o
}

// Value is one observation's expectation, the tap's, profile's and instrument's own errors included.
func (s *Study) Value(st *airflow.State, theta []float64, i int) float64 {
	return ValueOf(st, theta, &s.Observation[i], s.Day)
}

// ValueOf is what a reading should show in a solved state, SI.
func ValueOf(st *airflow.State, theta []float64, o *observe.Observation, day int) float64 {
	y := st.Value(o.Probe)
	if o.TapIx >= 0 {
		y += theta[o.TapIx] * asbuilt.TapError * st.VelocityPressure(o.Probe)
	}
	if o.AxisIx >= 0 {
		y *= 1 + theta[o.AxisIx]*asbuilt.ProfileError*ProfilePower(o)
	}
	y *= 1 + theta[day]*asbuilt.DensityOfDay*DensityPower(o)
	if o.Air != 0 {
		y *= math.Exp(theta[LooseAt(day)] * o.Air)
	}
	if o.Off != 0 {
		y *= math.Exp(theta[o.GainIx] * o.Off)
	} else {
		y += theta[o.GainIx] * o.Gain
	}
	if o.Zero != 0 {
		y += theta[LooseAt(day)] * o.Zero
	}
	return y
}

// DensityPower is how many times the log of density a reading has: at the same flow every
// pressure is in proportion to density; flows hardly change, since fan and losses change
// alike.
func DensityPower(o *observe.Observation) float64 {
	if o.Probe.Quantity().Dimension() == units.Pressure && o.Probe.Quantity() != units.PressureDrop {
		return 1
	}
	return 0
}

// ProfilePower is how many times the profile's error a reading has: at a port the
// profile may be anything from flat to developed.
func ProfilePower(o *observe.Observation) float64 {
	out := 1.0
	if o.Probe.Quantity() == units.VelocityPressure {
		out = 2
	}
	if o.Probe.AtPort() {
		out *= asbuilt.ProfileAtPort
	}
	return out
}
