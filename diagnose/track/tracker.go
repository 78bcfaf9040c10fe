package track

import (
	"math"

	"lostair/diagnose/airflow"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/observe"
)

// tracker looks at surveys one by one, each against the same reference: what
// the surveys taken as sound have taught of the as-built system.
type tracker struct {
	m      *airflow.Model
	u      *asbuilt.Unknowns
	l      fit.Layout
	list   []*indicator
	filter int // index of the filter in list, or -1
	// filterAt is the filter's state in the reference, in standard deviations of the page's.
	filterAt float64
	shared   fit.Prior

	portFlow []float64   // of each port alone, in the reference, m³/s
	portSD   []float64   // of its logarithm
	portGrad [][]float64 // derivative of its logarithm by each indicator's usual change
}

// study is a survey against what the reference has taught.
func (t *tracker) study(b *observe.Bound) *fit.Study {
	s := fit.NewStudy(t.m, t.u, t.l, b, t.shared)
	s.Pr.Mean[s.Day-2] = t.filterAt
	return s
}

// coefs are the coefficients of the reference.
func (t *tracker) coefs() airflow.Coefs {
	c := t.m.NewCoefs()
	t.u.Coefs(t.shared.Mean, &c, make([]float64, len(t.u.Parts)))
	c.Filter *= math.Exp(t.u.FilterDay() * t.filterAt)
	return c
}
