package indicator

import (
	"math"

	"lostair/diagnose/airflow"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/observe"
)

// Tracker looks at surveys one by one, each against the same reference: what
// the surveys taken as sound have taught of the as-built system.
type Tracker struct {
	M      *airflow.Model
	u      *asbuilt.Unknowns
	l      fit.Layout
	List   []*Indicator // what is followed, the places of a zone one after the other
	filter int          // index of the filter in List, or -1
	// filterAt is the filter's state in the reference, in standard deviations of the page's.
	filterAt float64
	shared   fit.Prior

	PortFlow []float64   // of each port alone, in the reference, m³/s
	PortSD   []float64   // of its logarithm
	portGrad [][]float64 // derivative of its logarithm by each indicator's usual change
}

// Against is a survey against what the reference has taught of the system as built.
func (t *Tracker) Against(b *observe.Bound) *fit.Study {
	return fit.NewStudy(t.M, t.u, t.l, b, t.shared)
}

// study is Against with the filter in the state that it had in the reference.
func (t *Tracker) study(b *observe.Bound) *fit.Study {
	s := t.Against(b)
	s.Pr.Mean[s.Day-2] = t.filterAt
	return s
}

// coefs are the coefficients of the reference.
func (t *Tracker) coefs() airflow.Coefs {
	c := t.M.NewCoefs()
	t.u.Coefs(t.shared.Mean, &c, make([]float64, len(t.u.Parts)))
	c.Filter *= math.Exp(t.u.FilterDay() * t.filterAt)
	return c
}
