package track

import (
	"math"
	"sort"

	"lostair/diagnose/internal/indicator"

	"gonum.org/v1/gonum/stat/distuv"
)

// charted is a series on its two control charts, in standard deviations of what
// a survey's own errors do to it.
type charted struct {
	u       []float64 // standardised change; 0 where a survey says nothing
	ewma    ewmaChart
	cusum   cusumChart
	cusumAt float64 // limit of the sums
	first   int     // survey of the first signal, or -1
	up      bool    // its direction
	byEWMA  bool
	scale   float64 // of u as it scatters, about 1
}

// Control charts. The weight is that of a chart which remembers some six surveys;
// the slack is half of a shift of two standard deviations. A leak that has grown
// far enough to matter moves its indicator that fast: slower charts, with less
// weight or slack, see it a survey or two later (measured over 100 histories of
// a reading a drop: 82 to 91 of them in time, against 93).
const (
	ChartWeight    = 0.3
	ChartSlack     = 1.0
	FalseYear      = 0.003 // aimed at: probability of any false signal in a year of a sound system
	ScaleMemory    = 12    // surveys that the predicted scatter counts as
	medianOfChange = 0.954
)

// limitsFor gives the limits at which n series, surveyed perYear times a year,
// give a false signal in a year with probability FalseYear at most.
func limitsFor(n, perYear int) (ewma, cusum float64) {
	each := FalseYear / float64(4*max(n, 1)*max(perYear, 1))
	ewma = distuv.UnitNormal.Quantile(1 - each)
	// D. Siegmund, Sequential Analysis (1985): the mean run of a one-sided sum
	// with slack k and limit h is (e^{2kb} − 2kb − 1)/(2k²), b = h + 1.166.
	run := 1 / each
	b := 1.0
	for range 60 {
		b = math.Log(run*2*ChartSlack*ChartSlack+2*ChartSlack*b+1) / (2 * ChartSlack)
	}
	return ewma, b - 1.166
}

// centred takes the mean of the first surveys, the reference, from all. What
// the page has wrong is in each survey alike and falls out with it.
func centred(list []indicator.Change, reference int) []indicator.Change {
	var sum, weight float64
	for _, x := range list[:reference] {
		if !x.None && x.Fresh > 0 {
			w := 1 / (x.Fresh * x.Fresh)
			sum, weight = sum+w*x.Value, weight+w
		}
	}
	out := append([]indicator.Change(nil), list...)
	for i := range out {
		x := &out[i]
		x.Lasting *= LastingLeft
		if weight > 0 {
			x.Value -= sum / weight
			x.Lasting = math.Hypot(x.Lasting, 1/math.Sqrt(weight))
		}
		x.Sd = math.Hypot(x.Fresh, x.Lasting)
	}
	return out
}

// LastingLeft is how much of the error that surveys have in common is left in
// their differences, since not all are read alike. Common practice, no source.
const LastingLeft = 0.2

// chart puts changes, centred, on the charts, those from survey from on.
func chart(list []indicator.Change, from int, ewmaAt, cusumAt float64) charted {
	c := charted{u: make([]float64, len(list)), first: -1}
	var ratio []float64
	for i, x := range list {
		if !x.None && x.Fresh > 0 {
			c.u[i] = x.Value / x.Fresh
			ratio = append(ratio, x.Lasting/x.Fresh)
		}
	}
	c.scale = scatter(list, c.u)
	bias := median(ratio)
	v := make([]float64, 0, len(c.u))
	for _, u := range c.u[from:] {
		v = append(v, u/c.scale)
	}
	// What all surveys have in common does not average out: it widens the limits whole.
	c.ewma = ewma(v, ChartWeight, 0, math.Sqrt(1+bias*bias*(2-ChartWeight)/ChartWeight), ewmaAt)
	c.cusumAt = cusumAt
	c.cusum = cusum(v, 0, ChartSlack+2.5*bias, cusumAt)
	e, s := c.ewma.First, c.cusum.First
	switch {
	case e > 0 && (s == 0 || e <= s):
		c.first, c.byEWMA, c.up = from+e-1, true, c.ewma.Values[e-1] > 0
	case s > 0:
		c.first, c.up = from+s-1, c.cusum.High[s-1] > c.cusum.Low[s-1]
	}
	return c
}

// scatter is how far standardised changes scatter from survey to survey, by the
// median of their steps, which a drift or a jump hardly moves, drawn towards 1.
func scatter(list []indicator.Change, u []float64) float64 {
	var steps []float64
	last := -1
	for i := range u {
		if list[i].None {
			continue
		}
		if last >= 0 {
			steps = append(steps, math.Abs(u[i]-u[last]))
		}
		last = i
	}
	if len(steps) < 4 {
		return 1
	}
	s := median(steps) / medianOfChange
	n := float64(len(steps))
	return math.Sqrt(math.Max((ScaleMemory+n*s*s)/(ScaleMemory+n), 0.7))
}

func median(v []float64) float64 {
	if len(v) == 0 {
		return 0
	}
	s := append([]float64(nil), v...)
	sort.Float64s(s)
	n := len(s)
	return (s[(n-1)/2] + s[n/2]) / 2
}
