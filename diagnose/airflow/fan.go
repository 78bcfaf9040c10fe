package airflow

import (
	"fmt"

	"gonum.org/v1/gonum/interp"

	"lostair/diagnose/duct"
)

// fanCurve is the fan's static pressure by flow at the curve's own speed and
// density. Between the points it is a shape-preserving cubic (F. N. Fritsch,
// J. Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300–304); past both ends it
// goes on as a straight line that falls.
type fanCurve struct {
	spline      interp.FritschButland
	first, last duct.CurvePoint
	endSlope    float64 // past the last point
	density     float64
}

func newFanCurve(c duct.Collector) (*fanCurve, error) {
	n := len(c.Curve)
	if n < 2 {
		return nil, fmt.Errorf("the fan curve has %d points; give at least 2", n)
	}
	x, y := make([]float64, n), make([]float64, n)
	for i, p := range c.Curve {
		x[i], y[i] = p.Flow, p.Pressure
	}
	f := &fanCurve{first: c.Curve[0], last: c.Curve[n-1], density: c.Density}
	if f.density == 0 {
		f.density = standardDensity
	}
	if err := f.spline.Fit(x, y); err != nil {
		return nil, fmt.Errorf("fan curve: %w", err)
	}
	f.endSlope = min((y[n-1]-y[n-2])/(x[n-1]-x[n-2]), -fanPastEnd*max(y[0], 1)/x[n-1])
	return f, nil
}

// base returns pressure and slope at the curve's own speed and density.
func (f *fanCurve) base(q float64) (p, dp float64) {
	switch {
	case q < f.first.Flow:
		// A fan blown backwards resists more, never less.
		slope := min(f.spline.PredictDerivative(f.first.Flow), f.endSlope*fanBackwards)
		return f.first.Pressure + slope*(q-f.first.Flow), slope
	case q > f.last.Flow:
		return f.last.Pressure + f.endSlope*(q-f.last.Flow), f.endSlope
	}
	return f.spline.Predict(q), f.spline.PredictDerivative(q)
}

// at returns the fan static pressure at flow q, its slope by q and its slope
// by speed, for a speed (share of the curve's) and an air density: pressure in
// proportion to density and to speed², flow to speed (the fan laws).
func (f *fanCurve) at(q, speed, density float64) (p, dq, dspeed float64) {
	r := density / f.density
	if speed < 1e-6 {
		// A stopped fan is an opening in the way; what it resists is left out.
		slope := f.endSlope * r
		return slope * q, slope, 0
	}
	b, db := f.base(q / speed)
	return r * speed * speed * b, r * speed * db, r * (2*speed*b - q*db)
}
