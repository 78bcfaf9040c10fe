package airflow

// Gradient is the derivative of one reading by every coefficient, in the
// shapes of Coefs.
type Gradient struct {
	Coefs
	wq, wp, lf, lm []float64 // weights on flows, pressures, momentum, mass
}

// NewGradient returns a gradient for reuse.
func (m *Model) NewGradient() *Gradient {
	n := len(m.link)
	f := func() []float64 { return make([]float64, n) }
	return &Gradient{Coefs: m.NewCoefs(), wq: f(), wp: f(), lf: f(), lm: f()}
}
