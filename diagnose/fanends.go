package diagnose

import (
	"math"

	"gonum.org/v1/gonum/floats"

	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/handbook"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/weigh"
)

// FanEnds are the two ends of a fan's curve, with 90 % intervals: the flow at no
// fan static pressure, m³/s, and the fan static pressure at no flow, Pa.
type FanEnds struct {
	MostAir, MostSuction fault.Interval
}

// GuessedFan is what is taken for the fan of a system whose file has no curve,
// before anything is read; false if the file has one.
func GuessedFan(sys *duct.System) (FanEnds, bool) {
	known := sys.Collector.FanKnown()
	if known == duct.ByCurve {
		return FanEnds{}, false
	}
	air, suction := handbook.GuessedEnds(sys)
	s := asbuilt.FanlessSpreads[known]
	return FanEnds{around(air, s.Air), around(suction, s.Suction)}, true
}

// GuessedDrops are what is taken, with 90 % intervals, for the parts of the collector of
// which the file says only that they are there; nil of any other.
func GuessedDrops(sys *duct.System) (cyclone, filter *fault.Interval) {
	of := func(d *duct.Drop) *fault.Interval {
		if d == nil || !d.Guessed {
			return nil
		}
		iv := around(d.Pressure, asbuilt.GuessedDrop.Own)
		return &iv
	}
	return of(sys.Collector.Cyclone), of(sys.Collector.Filter)
}

// around is the 90 % interval of a value known to a spread of its logarithm.
func around(v, sd float64) fault.Interval {
	by := math.Exp(wouldFit90 * sd)
	return fault.Interval{Value: v, Low: v / by, High: v * by}
}

// wouldFit90 is half of a 90 % interval over one sigma.
const wouldFit90 = 1.645

// fanEnds is what the readings tell of the curve of a fan whose file has none,
// at the speed at which it runs; nil if the file has one.
func fanEnds(p *weigh.Posterior) *FanEnds {
	s := p.G.S
	if s.M.Sys.Collector.FanKnown() == duct.ByCurve {
		return nil
	}
	var air, suction numeric.Mixture
	sets, weight := p.Leading()
	for i, f := range sets {
		s.SetCoefs(f.At, f.Faults)
		c := &s.Coef
		a, h := s.M.FanEnds(c)
		air.Add(weight[i], math.Log(a), endSd(s, f, [3]float64{1 / c.Speed, 1 / c.MostAir, 0}, AirForm))
		suction.Add(weight[i], math.Log(h), endSd(s, f, [3]float64{2 / c.Speed, 0, 1 / c.Pressure}, SuctionForm))
	}
	if len(air.W) == 0 {
		return nil
	}
	return &FanEnds{fromLog(&air), fromLog(&suction)}
}

// What the curve's form may be off at its ends, where hardly anything is read, one
// standard deviation of the logarithm: some curves peak past no flow, and none is
// read near its most air. Own choice, checked on own cases.
const (
	AirForm     = 0.08
	SuctionForm = 0.02
)

// endSd is the standard deviation of an end's logarithm, with slopes by speed, by
// the factor on the flow and by that on the pressure.
func endSd(s *fit.Study, f *fit.Fit, by [3]float64, form float64) float64 {
	g := s.M.NewGradient()
	g.Speed, g.MostAir, g.Pressure = by[0], by[1], by[2]
	row, gz := make([]float64, s.N), make([]float64, len(f.Faults))
	s.U.Row(g, s.Vals, row)
	for k, v := range f.Faults {
		for _, e := range v.Slopes(&s.Coef, f.At.Z[k]) {
			gz[k] += *e.Slot.Of(&g.Coefs) * e.By
		}
	}
	return math.Sqrt(s.Variance(f, row, gz) + s.LeftOut(g, make([]float64, s.All)) + form*form)
}

func fromLog(m *numeric.Mixture) fault.Interval {
	x := []float64{m.Quantile(0.5), m.Quantile(0.05), m.Quantile(0.95)}
	for i := range x {
		x[i] = math.Exp(x[i])
	}
	return fault.Interval{Value: x[0], Low: floats.Min(x), High: floats.Max(x)}
}
