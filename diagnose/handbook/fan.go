package handbook

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/interp"

	"lostair/diagnose/duct"
)

// FanCurve is the fan's static pressure by flow at the curve's own speed and
// density. Between the points of a curve it is a shape-preserving cubic
// (F. N. Fritsch, J. Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300–304); past
// both ends it goes on as a straight line that falls. A fan without a curve
// falls by a power of its flow from its most suction to its most air.
type FanCurve struct {
	spline   interp.FritschButland
	guessed  bool            // by a power, not by points
	First    duct.CurvePoint // of a guess: at no flow
	Last     duct.CurvePoint // of a guess: at no pressure
	endSlope float64         // past the last point
	Density  float64         // at which it holds
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

// FanValue is the fan static pressure P at a flow, with its slopes by the flow and
// by what a fan differs in from its curve.
type FanValue struct {
	P, ByFlow, BySpeed, ByMostAir, ByShape, ByBend float64
}

// NewFanCurve is the curve of a system's fan; guessed where the file has none.
func NewFanCurve(sys *duct.System) (*FanCurve, error) {
	c := &sys.Collector
	f := &FanCurve{Density: c.Density}
	if f.Density == 0 {
		f.Density = StandardDensity
	}
	f.include(c)
	if c.FanKnown() != duct.ByCurve {
		air, suction := GuessedEnds(sys)
		f.guessed = true
		f.First, f.Last = duct.CurvePoint{Pressure: suction}, duct.CurvePoint{Flow: air}
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
	f.First, f.Last = c.Curve[0], c.Curve[n-1]
	if err := f.spline.Fit(x, y); err != nil {
		return nil, fmt.Errorf("fan curve: %w", err)
	}
	f.endSlope = min((y[n-1]-y[n-2])/(x[n-1]-x[n-2]), -fanPastEnd*max(y[0], 1)/x[n-1])
	return f, nil
}

// include notes what the parts lose that the curve has in it, at its density.
func (f *FanCurve) include(c *duct.Collector) {
	for _, p := range c.Whole {
		switch {
		case p == duct.Cyclone && c.Cyclone != nil:
			f.squared = c.Cyclone.Pressure / (c.Cyclone.At * c.Cyclone.At) * f.Density / StandardDensity
		case p == duct.Filter && c.Filter != nil:
			f.linear = c.Filter.Pressure / c.Filter.At
		}
	}
}

// base returns the pressure at the curve's own speed and density, with its
// slopes, apart from that by speed.
func (f *FanCurve) base(q float64, c FanBuilt) (x FanValue) {
	if f.guessed {
		x = f.power(q/c.MostAir, c.Shape, c.Bend)
	} else {
		x.P, x.ByFlow = f.between(q / c.MostAir)
	}
	x.ByFlow /= c.MostAir
	x.ByMostAir = -x.ByFlow * q / c.MostAir
	x.P += f.squared*q*math.Abs(q) + f.linear*q
	x.ByFlow += 2*f.squared*math.Abs(q) + f.linear
	return x
}

// between is the curve through its points.
func (f *FanCurve) between(q float64) (p, byFlow float64) {
	switch {
	case q < f.First.Flow:
		// A fan blown backwards resists more, never less.
		slope := min(f.spline.PredictDerivative(f.First.Flow), f.endSlope*fanBackwards)
		return f.First.Pressure + slope*(q-f.First.Flow), slope
	case q > f.Last.Flow:
		return f.Last.Pressure + f.endSlope*(q-f.Last.Flow), f.endSlope
	}
	return f.spline.Predict(q), f.spline.PredictDerivative(q)
}

// power is the curve of a fan without one: p0·(1 − x^n + b·x²·(1 − x)) with x the
// flow over the most air, n the power and b what it bulges towards its end.
func (f *FanCurve) power(q, shape, b float64) FanValue {
	n, p0, q0 := max(fanPower*shape, 1), f.First.Pressure, f.Last.Flow
	x := q / q0
	switch {
	case x <= 0:
		slope := f.endSlope * fanBackwards
		return FanValue{P: p0 + slope*q, ByFlow: slope}
	case x > 1:
		end := -p0 * (n + b)
		return FanValue{P: end * (x - 1), ByFlow: end / q0, ByShape: -fanPower * p0 * (x - 1), ByBend: -p0 * (x - 1)}
	}
	y, bulge := math.Pow(x, n), x*x*(1-x)
	return FanValue{
		P:       p0 * (1 - y + b*bulge),
		ByFlow:  p0 * (b*x*(2-3*x) - n*y/x) / q0,
		ByShape: -fanPower * p0 * y * math.Log(x),
		ByBend:  p0 * bulge,
	}
}

// At returns the fan static pressure at flow q with its slopes, for an air
// density and the fan as built: pressure in proportion to density and to
// speed², flow to speed (the fan laws).
func (f *FanCurve) At(q, density float64, c FanBuilt) FanValue {
	r, speed := density/f.Density, c.Speed
	if speed < 1e-6 {
		// A stopped fan is an opening in the way; what it resists is left out.
		slope := f.endSlope * r
		return FanValue{P: slope * q, ByFlow: slope}
	}
	b, s2 := f.base(q/speed, c), r*speed*speed
	return FanValue{P: s2 * b.P, ByFlow: r * speed * b.ByFlow, BySpeed: r * (2*speed*b.P - q*b.ByFlow),
		ByMostAir: s2 * b.ByMostAir, ByShape: s2 * b.ByShape, ByBend: s2 * b.ByBend}
}
