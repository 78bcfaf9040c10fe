package airflow

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/interp"

	"lostair/diagnose/duct"
)

// fanCurve is the fan's static pressure by flow at the curve's own speed and
// density. Between the points of a curve it is a shape-preserving cubic
// (F. N. Fritsch, J. Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300–304); past
// both ends it goes on as a straight line that falls. A fan without a curve
// falls by a power of its flow from its most suction to its most air.
type fanCurve struct {
	spline   interp.FritschButland
	guessed  bool // by a power, not by points
	first    duct.CurvePoint
	last     duct.CurvePoint
	endSlope float64 // past the last point
	density  float64
	// what the parts that the curve includes lose, to be added back
	squared, linear float64 // Pa/(m³/s)², Pa/(m³/s)
}

// FanBuilt is how a fan differs from its curve.
type FanBuilt struct {
	Speed   float64 // share of the curve's
	MostAir float64 // factor on the flow of the curve
	Shape   float64 // factor on the power by which a guessed curve falls
	Bend    float64 // what a guessed curve bulges towards its end, share of most suction
}

// fanPoint is the pressure at a flow, with its slopes.
type fanPoint struct {
	p, byFlow, bySpeed, byMostAir, byShape, byBend float64
}

func newFanCurve(sys *duct.System) (*fanCurve, error) {
	c := &sys.Collector
	f := &fanCurve{density: c.Density}
	if f.density == 0 {
		f.density = standardDensity
	}
	f.include(c)
	if c.FanKnown() != duct.ByCurve {
		air, suction := GuessedEnds(sys)
		f.guessed = true
		f.first, f.last = duct.CurvePoint{Pressure: suction}, duct.CurvePoint{Flow: air}
		f.endSlope = -fanPower * suction / air
		return f, nil
	}
	n := len(c.Curve)
	if n < 2 {
		return nil, fmt.Errorf("the fan curve has %d points; give at least 2", n)
	}
	x, y := make([]float64, n), make([]float64, n)
	for i, p := range c.Curve {
		x[i], y[i] = p.Flow, p.Pressure
	}
	f.first, f.last = c.Curve[0], c.Curve[n-1]
	if err := f.spline.Fit(x, y); err != nil {
		return nil, fmt.Errorf("fan curve: %w", err)
	}
	f.endSlope = min((y[n-1]-y[n-2])/(x[n-1]-x[n-2]), -fanPastEnd*max(y[0], 1)/x[n-1])
	return f, nil
}

// include notes what the parts lose that the curve has in it, at its density.
func (f *fanCurve) include(c *duct.Collector) {
	for _, p := range c.Whole {
		switch {
		case p == duct.Cyclone && c.Cyclone != nil:
			f.squared = c.Cyclone.Pressure / (c.Cyclone.At * c.Cyclone.At) * f.density / standardDensity
		case p == duct.Filter && c.Filter != nil:
			f.linear = c.Filter.Pressure / c.Filter.At
		}
	}
}

// base returns the pressure at the curve's own speed and density, with its
// slopes, apart from that by speed.
func (f *fanCurve) base(q float64, c FanBuilt) (x fanPoint) {
	if f.guessed {
		x = f.power(q/c.MostAir, c.Shape, c.Bend)
	} else {
		x.p, x.byFlow = f.between(q / c.MostAir)
	}
	x.byFlow /= c.MostAir
	x.byMostAir = -x.byFlow * q / c.MostAir
	x.p += f.squared*q*math.Abs(q) + f.linear*q
	x.byFlow += 2*f.squared*math.Abs(q) + f.linear
	return x
}

// between is the curve through its points.
func (f *fanCurve) between(q float64) (p, byFlow float64) {
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

// power is the curve of a fan without one: p0·(1 − x^n + b·x²·(1 − x)) with x the
// flow over the most air, n the power and b what it bulges towards its end.
func (f *fanCurve) power(q, shape, b float64) fanPoint {
	n, p0, q0 := max(fanPower*shape, 1), f.first.Pressure, f.last.Flow
	x := q / q0
	switch {
	case x <= 0:
		slope := f.endSlope * fanBackwards
		return fanPoint{p: p0 + slope*q, byFlow: slope}
	case x > 1:
		end := -p0 * (n + b)
		return fanPoint{p: end * (x - 1), byFlow: end / q0, byShape: -fanPower * p0 * (x - 1), byBend: -p0 * (x - 1)}
	}
	y, bulge := math.Pow(x, n), x*x*(1-x)
	return fanPoint{
		p:       p0 * (1 - y + b*bulge),
		byFlow:  p0 * (b*x*(2-3*x) - n*y/x) / q0,
		byShape: -fanPower * p0 * y * math.Log(x),
		byBend:  p0 * bulge,
	}
}

// at returns the fan static pressure at flow q with its slopes, for an air
// density and the fan as built: pressure in proportion to density and to
// speed², flow to speed (the fan laws).
func (f *fanCurve) at(q, density float64, c FanBuilt) fanPoint {
	r, speed := density/f.density, c.Speed
	if speed < 1e-6 {
		// A stopped fan is an opening in the way; what it resists is left out.
		slope := f.endSlope * r
		return fanPoint{p: slope * q, byFlow: slope}
	}
	b, s2 := f.base(q/speed, c), r*speed*speed
	return fanPoint{p: s2 * b.p, byFlow: r * speed * b.byFlow, bySpeed: r * (2*speed*b.p - q*b.byFlow),
		byMostAir: s2 * b.byMostAir, byShape: s2 * b.byShape, byBend: s2 * b.byBend}
}
