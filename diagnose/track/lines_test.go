package track

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/indicator"
	"lostair/diagnose/internal/kit"
	"lostair/readings/repairs"
)

// noisy is a series whose values and errors differ, one survey of it blind.
func noisy(n int) ([]indicator.Change, []float64) {
	list, days := make([]indicator.Change, n), make([]float64, n)
	for i := range list {
		days[i] = 7*float64(i) + float64(i%3)
		list[i] = indicator.Change{Value: 0.02*days[i] + 0.3*math.Sin(2.1*float64(i)), Fresh: 0.1 + 0.02*float64(i%4)}
	}
	list[4].None = true
	return list, days
}

// The lines are weighted least squares: against gonum's regression, with the day on which
// each begins free or not.
func TestLinesAreLeastSquares(t *testing.T) {
	list, days := noisy(14)
	const scale = 1.3
	s := stretchOf(list, days, 2, scale)
	require.Len(t, s.index, 11, "from the third survey on, the blind one left out")
	require.Equal(t, days[13], s.last)
	var x, y, w []float64
	for i := 2; i < 14; i++ {
		if i != 4 {
			x, y, w = append(x, days[i]), append(y, list[i].Value), append(w, 1/(scale*scale*list[i].Fresh*list[i].Fresh))
		}
	}
	alpha, beta := stat.LinearRegression(x, y, w, false)
	l, _ := s.free(days[2])
	require.InEpsilon(t, beta, l.rate, 1e-9)
	require.InEpsilon(t, alpha, l.base-l.rate*l.at, 1e-9)
	mean, variance := stat.MeanVariance(x, w)
	sum := 0.0
	for _, v := range w {
		sum += v
	}
	require.InEpsilon(t, mean, l.at, 1e-9)
	require.InEpsilon(t, 1/math.Sqrt(sum), l.baseSD, 1e-9)
	require.InEpsilon(t, 1/math.Sqrt(variance*(sum-1)), l.sd, 1e-9)

	for _, at := range []float64{days[2], days[6], 33} {
		over, off := make([]float64, len(x)), make([]float64, len(x))
		for i := range x {
			over[i], off[i] = math.Max(x[i]-at, 0), y[i]-0.2
		}
		_, beta = stat.LinearRegression(over, off, w, true)
		h, q := s.hinge(at, 0.2)
		require.InEpsilon(t, beta, h.rate, 1e-9)
		require.Equal(t, []float64{at, 0.2}, []float64{h.at, h.base})
		xx, misfit := 0.0, 0.0
		for i := range over {
			xx += w[i] * over[i] * over[i]
			misfit += w[i] * (off[i] - beta*over[i]) * (off[i] - beta*over[i])
		}
		require.InEpsilon(t, 1/math.Sqrt(xx), h.sd, 1e-9)
		require.InEpsilon(t, misfit, q, 1e-9)

		// a step: nothing, then the weighted mean
		var after, weight, left float64
		for i := range x {
			if x[i] >= at {
				after, weight = after+w[i]*y[i], weight+w[i]
			}
		}
		for i := range x {
			e := y[i]
			if x[i] >= at {
				e -= after / weight
			}
			left += w[i] * e * e
		}
		require.InEpsilon(t, left, s.step(at), 1e-9)
	}
	none, q := s.hinge(days[13]+1, 0)
	require.Zero(t, none.rate)
	require.Positive(t, q)
	require.InEpsilon(t, q, s.step(days[13]+1), 1e-9, "neither ever begins")
}

// The trend mixes the lines by how well they fit, exp(−χ²/2); rate and level are quantiles
// of that mixture.
func TestTrendMixesItsLines(t *testing.T) {
	list, days := noisy(14)
	const reference = 5
	tr := trendOf(list, days, reference, 1, nil)
	s := stretchOf(list, days, 0, 1)
	var chi, at []float64
	best := math.Inf(1)
	for i := reference - 1; i < 14; i++ {
		if list[i].None {
			continue
		}
		_, q := s.hinge(days[i], 0)
		chi, at, best = append(chi, q), append(at, days[i]), math.Min(best, q)
	}
	require.Len(t, tr.lines, len(chi))
	require.InEpsilon(t, best, tr.misfit, 1e-12)
	sum := 0.0
	for _, q := range chi {
		sum += math.Exp((best - q) / 2)
	}
	below := func(v float64, of func(line) (mean, sd float64)) float64 {
		p := 0.0
		for _, l := range tr.lines {
			mean, sd := of(l)
			p += l.weight * distuv.UnitNormal.CDF((v-mean)/math.Max(sd, 1e-12))
		}
		return p
	}
	for i, l := range tr.lines {
		require.Equal(t, at[i], l.at)
		require.InEpsilon(t, math.Exp((best-chi[i])/2)/sum, l.weight, 1e-9)
	}
	rate := func(l line) (float64, float64) { return l.rate, l.sd }
	level := func(l line) (float64, float64) {
		run := days[13] - l.at
		return l.base + l.rate*run, l.sd * run
	}
	for _, x := range []struct{ q, rate, level float64 }{{0.05, tr.rate.Low, tr.level.Low}, {0.5, tr.rate.Value, tr.level.Value}, {0.95, tr.rate.High, tr.level.High}} {
		require.InDelta(t, x.q, below(x.rate, rate), 0.02)
		require.InDelta(t, x.q, below(x.level, level), 0.02)
	}
	// when it began: quantiles of the day, by survey
	sum = 0
	want := [3]int{-1, -1, -1}
	for i, l := range tr.lines {
		sum += l.weight
		for k, q := range []float64{0.5, 0.05, 0.95} {
			if sum >= q && want[k] < 0 {
				for j, d := range days {
					if d == at[i] {
						want[k] = j
					}
				}
			}
		}
	}
	require.Equal(t, want, tr.began)

	after := trendOf(list, days, reference, 1, []int{3, 7})
	require.Equal(t, 7, after.from)
	require.Len(t, after.lines, 1, "it is what it is from its first day on")
	require.Equal(t, [3]int{7, 7, 7}, after.began)
	l, _ := stretchOf(list, days, 7, 1).free(days[7])
	require.InDelta(t, l.rate, after.rate.Value, 1e-6)
	require.InDelta(t, l.base+l.rate*(days[13]-l.at), after.level.Value, 1e-6)
	require.Greater(t, after.level.High-after.level.Low, 2*1.6*l.baseSD, "slope and level are both unsure")

	require.Equal(t, trend{}, trendOf(make([]indicator.Change, 3), days[:3], 1, 1, nil), "surveys without errors say nothing")
}

// A step is named as one only if it fits better by twelve in χ²: of twelve surveys up by
// one, each known to sd, a slope from the step on leaves about a quarter of its square.
func TestStepsMustFitClearlyBetter(t *testing.T) {
	step := func(w int) float64 {
		if w >= 12 {
			return 1
		}
		return 0
	}
	for sd, named := range map[float64]bool{0.1: true, 1: false} {
		list, days := course(step, 30, sd)
		require.Equal(t, named, trendOf(list, days, 5, 1, nil).jumped, "sd %v", sd)
		require.False(t, trendOf(list, days, 5, 10, nil).jumped, "readings that scatter ten times as far")
	}
}

// A jump is a step of so many standard deviations of its two surveys, and of three usual
// steps, that stays: √2·6.5·0.1 = 0.919 for surveys known to 0.1.
func TestJumpsByHand(t *testing.T) {
	series := func(sd float64, v ...float64) []indicator.Change {
		var out []indicator.Change
		for _, x := range v {
			out = append(out, indicator.Change{Value: x, Fresh: sd, None: math.IsNaN(x)})
		}
		return out
	}
	blind := math.NaN()
	for _, x := range []struct {
		why  string
		list []indicator.Change
		want []int
	}{
		{"just enough", series(0.1, 0, 0, 0, 0.93, 0.93, 0.93), []int{3}},
		{"just not", series(0.1, 0, 0, 0, 0.91, 0.91, 0.91), nil},
		{"downwards", series(0.1, 0, 0, 0, -0.93, -0.93, -0.93), []int{3}},
		{"two", series(0.1, 0, 0, 1, 1, 1, 0, 0), []int{2, 5}},
		{"in the last survey", series(0.1, 0, 0, 0, 0, 0.93), []int{4}},
		{"one bad survey", series(0.1, 0, 0, 0.93, 0, 0, 0), nil},
		{"bad the other way", series(0.1, 0, 0, 0.93, -0.1, 0, 0), nil},
		{"half of it stays", series(0.1, 0, 0, 1, 0.5, 0.5, 0.5), []int{2}},
		{"less than half stays", series(0.1, 0, 0, 1, 0.4, 0.4, 0.4), nil},
		{"over a blind survey", series(0.1, 0, 0, blind, 0.93, 0.93, blind, 0.93), []int{3}},
		{"first is blind", series(0.1, blind, 0, 0, 0.93, 0.93), []int{3}},
		{"a drift is none", series(0.001, 0, 0.1, 0.2, 0.3, 0.4, 0.5), nil},
		{"four usual steps are", series(0.001, 0, 0.1, 0.2, 0.6, 0.7, 0.8), []int{3}},
		{"two are not", series(0.001, 0, 0.1, 0.2, 0.4, 0.5, 0.6), nil},
	} {
		require.Equal(t, x.want, jumps(x.list, 1, FarStep), x.why)
	}
	require.Empty(t, jumps(series(0.1, 0, 0, 0, 0.93, 0.93), 1.1, FarStep), "they scatter farther than that")
	require.NotEmpty(t, jumps(series(0.1, 0, 0, 0, 0.6, 0.6), 1, FarFilterStep))
	require.Empty(t, jumps(series(0.1, 0, 0, 0, 1.3, 0.5, 0.5, 0.5), 1.2, FarStep), "half of as far as they scatter")
	require.NotEmpty(t, jumps(series(0.1, 0, 0, 0, 1.3, 0.6, 0.6, 0.6), 1.2, FarStep))
	// the median of the steps about a pair, the pair left out: 1, 2, [9], 3, 4
	known := []int{0, 1, 2, 3, 4, 5}
	require.Equal(t, 2.5, usualStep(series(1, 0, 1, 3, 12, 15, 19), known, 3))
	require.Equal(t, 3.5, usualStep(series(1, 0, 1, 3, 12, 15, 19), known, 1), "of 2, 9, 3 and 4")
	require.Equal(t, 1.0, usualStep(series(1, 0, 9, 10, 11, 12, 13, 93, 94), []int{0, 1, 2, 3, 4, 5, 6, 7}, 1), "no more than four surveys about count")
}

// A line that is known exactly crosses its limit on one day, spread by how evenly things
// grow alone; the middles of five equal shares of a normal distribution lie at 0, 0.524
// and 1.282 (table).
func TestCrossingsByHand(t *testing.T) {
	for i, z := range []float64{-1.2816, -0.5244, 0, 0.5244, 1.2816} {
		require.InDelta(t, z, normalFifths()[i], 1e-4)
	}
	tr := trend{lines: []line{{at: 10, base: 0.5, rate: 0.1, weight: 1}}}
	all := tr.crosses(2, 0, 20) // 1.5 more at 0.1 a day from day 10: day 25, five from the last
	sum := 0.0
	seen := map[int]float64{}
	for _, x := range all {
		sum += x.weight
		seen[int(math.Round(1e4*x.day))] += x.weight
	}
	require.InDelta(t, 1, sum, 1e-9)
	require.Len(t, seen, 5)
	for _, z := range normalFifths() {
		require.InDelta(t, 0.2, seen[int(math.Round(1e4*5*math.Exp(0.15*z)))], 1e-9)
	}
	in, sure := reached(all)
	require.True(t, sure)
	require.InDelta(t, 5, in.Value, 1e-9)

	days := func(limit, rel float64, l line) (fault.Interval, bool) {
		tr := trend{lines: []line{l}}
		return reached(tr.crosses(limit, rel, 20))
	}
	_, sure = days(2, 0, line{at: 10, base: 0.5, rate: -0.1, weight: 1})
	require.False(t, sure, "it runs away from it")
	in, sure = days(-1, 0, line{at: 10, base: 0.5, rate: -0.1, weight: 1})
	require.True(t, sure)
	require.InDelta(t, 5, in.Value, 1e-9)
	_, sure = days(1, 0, line{at: 10, base: 0.5, rate: 0.1, weight: 1})
	require.False(t, sure, "it was crossed on day 15")
	_, sure = days(2, 0, line{at: 10, base: 0.5, rate: 0.0001, weight: 1})
	require.False(t, sure, "in 41 years")
	wide, _ := days(2, 0.1, line{at: 10, base: 0.5, rate: 0.1, weight: 1})
	require.Less(t, wide.Low, 5*math.Exp(-0.15*1.2816)-0.1, "a limit that is not known lies nearer or farther")
	require.Greater(t, wide.High, 5*math.Exp(0.15*1.2816)+0.1)
	unsure, _ := days(2, 0, line{at: 10, base: 0.5, rate: 0.1, sd: 0.02, weight: 1})
	// its slope in the middles of ten shares: the lowest, 0.1 − 1.645·0.02, crosses on day 32.4
	require.InDelta(t, (1.5/(0.1-1.6449*0.02)-10)*1, unsure.High, 3)
	require.Less(t, unsure.Low, 5.0)

	// two lines of 0.7 and 0.3: the median is of the likelier
	in, _ = reached([]ahead{{9, 0.3}, {4, 0.7}})
	require.Equal(t, fault.Interval{Value: 4, Low: 4, High: 9}, in)
	_, sure = reached(nil)
	require.False(t, sure)
}

// What is charted and what is told of it: a filter by twice the root of its multiple less
// 2, ratios by their logarithm, and areas as they are.
func TestGaugesByHand(t *testing.T) {
	require.Equal(t, 4.0, FilterDrop.value(2))
	require.Equal(t, 1.0, FilterDrop.value(0))
	require.Zero(t, FilterDrop.value(-3))
	require.Equal(t, 2.0, FilterDrop.charted(4))
	require.Equal(t, -2.0, FilterDrop.charted(-1))
	require.InEpsilon(t, 2, FlowShare.value(math.Ln2), 1e-12)
	require.InEpsilon(t, math.Log(0.5), FanSpeed.charted(0.5), 1e-12)
	require.InEpsilon(t, math.Log(1e-9), FanSpeed.charted(0), 1e-12)
	require.Equal(t, []float64{3, 3}, []float64{LeakArea.value(3), InTheWay.charted(3)})

	require.Len(t, LeakArea.laws(), 1)
	laws := FilterDrop.laws()
	require.Len(t, laws, 3)
	for k, want := range []float64{2, 3, math.Log(4)} { // of four times the drop
		require.InEpsilon(t, want, laws[k](2), 1e-12)
	}
	list := []indicator.Change{{Value: 2, Fresh: 0.1}, {None: true, Value: 2, Fresh: 0.1}}
	on := laws[1].on(list)
	require.Equal(t, 3.0, on[0].Value)
	require.InEpsilon(t, 0.1*2, on[0].Fresh, 1e-9, "by the slope: d(1+x/2)²/dx is 2 there")
	require.Equal(t, list[1], on[1])
	require.Equal(t, 2.0, list[0].Value)

	// A share by which a filter's drop has grown: 3 is four times.
	r := indicator.Change{Value: 3, Sd: 0.4, Fresh: 0.2, Lasting: 0.1}.Root()
	require.Equal(t, indicator.Change{Value: 2, Sd: 0.2, Fresh: 0.1, Lasting: 0.05}, r)
}

// The reference's weighted mean is taken from all surveys: by hand, of 1 ± 1 and 4 ± 2 it
// is (1 + 4/4)/(1 + 1/4) = 1.6 ± √0.8; a fifth of what surveys have in common is left.
func TestCentredByHand(t *testing.T) {
	list := []indicator.Change{{Value: 1, Fresh: 1, Lasting: 2}, {Value: 4, Fresh: 2, Lasting: 2}, {Value: 100, Fresh: 1, None: true}, {Value: 7, Fresh: 3, Lasting: 5}}
	got := centred(list, 3)
	require.InDelta(t, -0.6, got[0].Value, 1e-12)
	require.InDelta(t, 2.4, got[1].Value, 1e-12)
	require.InDelta(t, 5.4, got[3].Value, 1e-12)
	require.InDelta(t, math.Sqrt(0.4*0.4+0.8), got[0].Lasting, 1e-12)
	require.InDelta(t, math.Sqrt(1+0.8), got[3].Lasting, 1e-12)
	require.InDelta(t, math.Sqrt(9+1.8), got[3].Sd, 1e-12)
	require.Equal(t, 7.0, list[3].Value)
	require.Equal(t, 7.0, centred(list[2:], 1)[1].Value, "a reference that says nothing leaves all as it is")
}

// On the charts: the EWMA's long-run limits k √(λ/(2−λ)) of values of one standard
// deviation, widened whole by what the surveys have in common.
func TestChartByHand(t *testing.T) {
	series := func(lasting float64, v ...float64) []indicator.Change {
		var out []indicator.Change
		for _, x := range v {
			out = append(out, indicator.Change{Value: 2 * x, Fresh: 2, Lasting: 2 * lasting})
		}
		return out
	}
	quiet := chart(series(0, 1, -1, 0, 0, 0, 0), 2, 4, 5)
	require.Equal(t, -1, quiet.first)
	require.InDelta(t, 4*math.Sqrt(0.3/1.7), quiet.ewma.Upper, 1e-9)
	require.Len(t, quiet.ewma.Values, 4)
	require.Equal(t, []float64{1, -1, 0, 0, 0, 0}, quiet.u)
	wide := chart(series(0.5, 1, -1, 0, 0, 0, 0), 2, 4, 5)
	require.InDelta(t, 4*math.Sqrt(0.3/1.7+0.25), wide.ewma.Upper, 1e-9)
	// sums: slack 1 and 2.5 times the share in common
	up := chart(series(0, 0, 0, 0, 3, 3, 3, 3), 2, 40, 5)
	// which scatter by √0.7: 3/√0.7 − 1 = 2.59 a survey passes 5 at its second, the fifth of all
	require.Equal(t, []any{4, true, false}, []any{up.first, up.up, up.byEWMA})
	down := chart(series(0, 0, 0, 0, -3, -3, -3, -3), 2, 40, 5)
	require.Equal(t, []any{4, false}, []any{down.first, down.up})
	require.Equal(t, 5.0, down.cusumAt)
	require.Equal(t, -1, chart(series(0.4, 0, 0, 0, 3, 3, 3), 2, 40, 5).first, "1.59 a survey reaches 4.8 at the third")
	ew := chart(series(0, 0, 0, 0, -9, -9, -9), 2, 4, 50) // 0.3·9 = 2.7 is beyond 1.68 at once
	require.Equal(t, []any{3, false, true}, []any{ew.first, ew.up, ew.byEWMA})
	first := chart(series(0, 0, 0, 20, 0, 0, 0, 0), 2, 4, 500) // in the first survey after the reference
	require.Equal(t, []any{2, true, true}, []any{first.first, first.up, first.byEWMA})
	both := chart(series(0, 0, 0, 0, 9, 9, 9), 2, 4, 7) // both at once: the average is named
	require.True(t, both.byEWMA)
	blind := series(0, 0, 0, 0, 9, 9)
	blind[3].None = true
	require.Zero(t, chart(blind, 2, 4, 5).u[3])

	in := charted{scale: 2, ewma: ewmaChart{Lower: -1, Upper: 1}}
	require.True(t, in.within([]indicator.Change{{Value: 3, Fresh: 1}, {Value: -1, Fresh: 1}}), "in the mean 0.5")
	require.False(t, in.within([]indicator.Change{{Value: 3, Fresh: 1}, {Value: 1.5, Fresh: 1}}))
	require.False(t, in.within([]indicator.Change{{Value: -3, Fresh: 1}, {Value: -1.5, Fresh: 1}}))
	require.False(t, in.within([]indicator.Change{{Value: 0, Fresh: 1, None: true}}), "nothing is known")
	require.False(t, in.within([]indicator.Change{{Value: 0}}))
	require.Equal(t, 2.5, median([]float64{9, 2, 1, 3}))
	require.Equal(t, 2.0, median([]float64{9, 2, 1}))
}

// A change that a sound system can't make counts a quarter; z²/2 nats a survey.
func TestWhatAnIndicatorExplains(t *testing.T) {
	list := []*indicator.Indicator{{Kind: fault.Leak}, {Kind: fault.FanWeak}, {Kind: fault.FilterLoaded}, {Kind: fault.Blockage}}
	up := []indicator.Change{{Value: 2, Fresh: 1}, {Value: 6, Fresh: 2}, {Value: 5, Fresh: 1, None: true}, {Value: 5}}
	down := []indicator.Change{{Value: -2, Fresh: 1}, {Value: -6, Fresh: 2}}
	for i, want := range [][2]float64{{6.5, 1.625}, {1.625, 6.5}, {6.5, 6.5}, {6.5, 1.625}} {
		require.InDelta(t, want[0], explains(up, list[i]), 1e-12)
		require.InDelta(t, want[1], explains(down, list[i]), 1e-12)
		require.Equal(t, want[0] > 2, !list[i].Backwards(true))
	}
	// what is left of another: under a twentieth of it, in the surveys that show it
	before := []found{{list: []indicator.Change{{Value: 20, Fresh: 1}, {Value: 20, Fresh: 1}, {Value: 500, Fresh: 1}}}}
	require.True(t, leftOver([]indicator.Change{{Value: 4, Fresh: 1}, {Value: 4.8, Fresh: 1}, {Value: 2, Fresh: 1}}, before), "39 of 800")
	require.False(t, leftOver([]indicator.Change{{Value: 5, Fresh: 1}, {Value: 4, Fresh: 1}, {Value: 2, Fresh: 1}}, before), "41 of 800")
	require.False(t, leftOver([]indicator.Change{{Value: 4, Fresh: 1}}, nil))
	zones := []*indicator.Indicator{{Kind: fault.Leak, Zone: 1}, {Kind: fault.Leak, Zone: 1}, {Kind: fault.Leak, Zone: 2}, {Kind: fault.Blockage, Zone: -1}, {Kind: fault.FilterLoaded, Zone: -1}}
	require.True(t, taken(zones, 0, []int{1}))
	require.False(t, taken(zones, 2, []int{0, 1}))
	require.True(t, taken(zones, 3, []int{3}))
	require.False(t, taken(zones, 3, []int{4}))
	require.Equal(t, 4, distinct(zones), "two places of one zone are one")
}

// A repair ends an episode if it was logged between the last survey that shows it and the
// first without, at its place, one like it, or no place.
func TestWhatEndedAnEpisode(t *testing.T) {
	day := func(d int) Survey { return Survey{Date: dayOf(d)} }
	tr := &History{Surveys: []Survey{day(1), day(8), day(15), day(22)}}
	at := func(d int, where string) repairs.Repair { return repairs.Repair{Date: dayOf(d), Where: where} }
	for _, x := range []struct {
		log  []repairs.Repair
		ends int
	}{
		{nil, -1}, {[]repairs.Repair{at(10, "main")}, 0}, {[]repairs.Repair{at(8, "main")}, 0}, {[]repairs.Repair{at(15, "main")}, 0},
		{[]repairs.Repair{at(7, "main")}, -1}, {[]repairs.Repair{at(16, "main")}, -1}, {[]repairs.Repair{at(10, "hose-a")}, -1},
		{[]repairs.Repair{at(10, "drop-b")}, 0}, {[]repairs.Repair{at(3, "main"), at(12, "")}, 1},
	} {
		e := Episode{To: &Moment{Survey: 2}}
		e.Where, e.Alike = "main", []fault.Candidate{{Where: "drop-a"}, {Where: "drop-b"}}
		tr.ended(&e, x.log)
		if x.ends < 0 {
			require.Equal(t, "unknown", e.EndedBy, "%v", x.log)
			require.Nil(t, e.Repair)
			continue
		}
		require.Equal(t, "repair", e.EndedBy, "%v", x.log)
		require.Equal(t, &x.log[x.ends], e.Repair)
	}
	e := Episode{}
	tr.ended(&e, []repairs.Repair{at(10, "")})
	require.Empty(t, e.EndedBy, "it is there still")
}

func dayOf(d int) time.Time { return time.Date(2031, 3, d, 0, 0, 0, 0, time.UTC) }

// Limits of a single series: 0.003 a year over two charts and two sides leaves a share of
// 0.00075, which a normal value passes at 3.175 (table); none at all counts as one.
func TestLimitsOfOneSeries(t *testing.T) {
	e, c := limitsFor(1, 1)
	require.InDelta(t, 3.175, e, 0.002)
	for _, x := range [][2]int{{0, 1}, {1, 0}, {0, 0}} {
		ee, cc := limitsFor(x[0], x[1])
		require.Equal(t, []float64{e, c}, []float64{ee, cc})
	}
}

// A series' points by hand: 90 % is 1.645 standard deviations of what scatters and what
// lasts together; of a leak the place in its zone adds a fifth of the area.
func TestPointsOfASeries(t *testing.T) {
	k := &tracking{out: &History{}, ref: 1}
	list := []indicator.Change{{Value: 2, Fresh: 0.3, Lasting: 0.8}, {None: true, Value: 9, Fresh: 1}, {Value: 4, Fresh: 0.5, Lasting: 0}}
	c := charted{scale: 2, ewma: ewmaChart{Values: []float64{0.5, 1.5}, Lower: -3, Upper: 3}}
	k.add(Series{Gauge: LeakArea, Where: "main"}, list, c)
	k.add(Series{Gauge: FlowShare, Where: "saw"}, list, c)
	leak, flow := k.out.Series[0].Points, k.out.Series[1].Points
	require.Len(t, leak, 3)
	require.Equal(t, []bool{true, false, true}, []bool{leak[0].Known, leak[1].Known, leak[2].Known})
	require.Equal(t, fault.Interval{}, leak[1].Value)
	off := math.Hypot(1.645*math.Hypot(0.6, 0.8), 0.2*2)
	require.InDelta(t, 2-off, leak[0].Value.Low, 1e-12)
	require.InDelta(t, 2+off, leak[0].Value.High, 1e-12)
	require.InDelta(t, 4-math.Hypot(1.645, 0.8), leak[2].Value.Low, 1e-12)
	require.InDelta(t, math.Exp(2-1.645), flow[0].Value.Low, 1e-12)
	require.InDelta(t, math.Exp(2), flow[0].Value.Value, 1e-12)
	// averages in the usual error, the median of 0.3 and 0.5 times the scatter: 0.8
	require.Equal(t, []bool{false, true, true}, []bool{leak[0].Charted, leak[1].Charted, leak[2].Charted})
	require.InDelta(t, 0.5*0.8, leak[1].Average, 1e-12)
	require.InDelta(t, 1.5*0.8, leak[2].Average, 1e-12)
	require.InDelta(t, math.Exp(3*0.8), flow[2].Upper, 1e-12)
	require.InDelta(t, math.Exp(-3*0.8), flow[2].Lower, 1e-12)
}

// What a signal says is what its trend does: by the week, from the value now, with each
// jump from the last survey known before it.
func TestSignalsSayWhatTheTrendDoes(t *testing.T) {
	at := func(g Gauge, list []indicator.Change, days []float64, c charted) Signal {
		k := &tracking{t: &indicator.Tracker{}, out: &History{}, ref: 5, days: days}
		k.add(Series{Gauge: g, Where: "main"}, list, c)
		k.signal(0, list, c, []int{7}, -1)
		return k.out.Signals[0]
	}
	c := charted{scale: 1, first: 14, up: true, byEWMA: true, ewma: ewmaChart{Lower: -1, Upper: 1}}
	list, days := course(func(w int) float64 { return math.Max(0, 0.1*float64(w-10)) }, 30, 0.02)
	tr := trendOf(list, days, 5, 1, nil)
	s := at(LeakArea, list, days, c)
	require.Equal(t, []any{14, "EWMA", true, false, false, tr.began}, []any{s.Survey, s.Chart, s.Up, s.Jumped, s.Over, s.Began})
	require.Equal(t, []int{7}, s.Alike)
	require.InDelta(t, 0.1, s.Rate.Value, 1e-3, "a week")
	require.InDelta(t, 7*tr.rate.Low, s.Rate.Low, 1e-12)
	require.InDelta(t, 1.9, s.Now.Value, 0.01)
	require.InDelta(t, s.Now.Value-math.Hypot(tr.level.Value-tr.level.Low, 0.2*s.Now.Value), s.Now.Low, 1e-9)
	require.InDelta(t, s.Now.Value+math.Hypot(tr.level.High-tr.level.Value, 0.2*s.Now.Value), s.Now.High, 1e-9)
	r := at(FanSpeed, list, days, c)
	require.InDelta(t, math.Exp(1.9), r.Now.Value, 0.05)
	require.InDelta(t, math.Exp(0.1), r.Rate.Value, 1e-3, "as a factor")
	require.InDelta(t, math.Exp(7*tr.rate.High), r.Rate.High, 1e-9)
	c.byEWMA = false
	require.Equal(t, "CUSUM", at(LeakArea, list, days, c).Chart)

	list, days = course(func(w int) float64 {
		if w >= 12 && w < 20 {
			return 3
		}
		return 0
	}, 30, 0.05)
	list[11].None = true
	list[10].Value = 0.01
	c.first = 13
	s = at(FanSpeed, list, days, c)
	require.Equal(t, []Jump{{12, math.Exp(0.01), math.Exp(3)}, {20, math.Exp(3), 1}}, s.Jumps)
	require.True(t, s.Over, "it is back")
	require.False(t, s.Jumped, "two steps are no single one")
	require.Equal(t, [3]int{20, 20, 20}, s.Began)
	require.True(t, at(FanSpeed, list[:18], days[:18], c).Jumped)
	require.False(t, at(FanSpeed, list[:18], days[:18], c).Over)
	// a jump is counted from the last survey known before it, if that is the very first
	list, days = course(func(w int) float64 {
		if w >= 2 {
			return 3
		}
		return 0.02
	}, 12, 0.05)
	list[1].None, list[1].Value = true, 7
	require.Equal(t, []Jump{{2, 0.02, 3}}, at(LeakArea, list, days, c).Jumps)

	// For the filter, which is another each day, a step of fewer standard deviations is
	// sudden: 0.4 of surveys known to 0.07 is 4.0 of √2·0.07.
	list, days = course(func(w int) float64 {
		if w >= 12 {
			return 0.4
		}
		return 0
	}, 20, 0.07)
	require.Len(t, at(FilterDrop, list, days, c).Jumps, 1)
	require.Empty(t, at(LeakArea, list, days, c).Jumps)
}

// A port's limits are its need and half its flow, in logarithms; the need is known as
// well as the flow is: of a flow known to 2 % a quarter above the need ±0.02/ln 1.25,
// with the 10 % that any limit has.
func TestLimitsOfAPort(t *testing.T) {
	r := kit.NewRules(t)
	r.Sys.Ports[0].Need, r.Sys.Ports[1].Need = 0.2, 0.4
	k := &tracking{t: &indicator.Tracker{M: r.M, PortFlow: []float64{0.25, 0.3, 0.3}, PortSD: []float64{0.02, 0.02, 0.02}}}
	a := k.limitsOf(&Series{Gauge: FlowShare, Where: "port-a"}, -1, false)
	require.Len(t, a, 2)
	require.Equal(t, []string{"need", "half"}, []string{a[0].what, a[1].what})
	require.InDelta(t, math.Log(0.8), a[0].limit, 1e-12)
	require.InDelta(t, math.Hypot(0.1, 0.02/math.Log(1.25)), a[0].rel, 1e-12)
	require.InDelta(t, math.Log(0.5), a[1].limit, 1e-12)
	require.Equal(t, 0.1, a[1].rel)
	for _, where := range []string{"port-b", "port-c"} { // short already, or without a need
		b := k.limitsOf(&Series{Gauge: FlowShare, Where: where}, -1, false)
		require.Len(t, b, 1)
		require.Equal(t, "half", b[0].what)
		require.Equal(t, where, b[0].port)
	}
	r.Sys.Ports[0].Need = 0.2499
	require.Equal(t, 1.0, k.known(0, "need"), "hardly above it: not known at all")
	require.Empty(t, k.limitsOf(&Series{Gauge: LeakArea}, -1, true))
}

// Of what moves, each survey known to 0.1 of it, the one that explains most is found first,
// then what moves beside it; not what a sound system can't do, nor what is as small as what
// the model leaves of the first; and with it what looks the same.
func TestFindsWhatMoved(t *testing.T) {
	leak, fan, block := &indicator.Indicator{Kind: fault.Leak, Zone: 0, Unit: 1}, &indicator.Indicator{Kind: fault.FanWeak, Zone: -1, Unit: 1}, &indicator.Indicator{Kind: fault.Blockage, Zone: -1, Unit: 1}
	find := func(list []*indicator.Indicator, alike float64, moves ...float64) ([]found, []int) {
		n := len(list)
		var gs []*indicator.Fit
		for s := range 14 {
			g := &indicator.Fit{List: list, Filter: -1, Info: mat.NewSymDense(n, nil), Fresh: mat.NewSymDense(n, nil), Last: mat.NewSymDense(n, nil), Pull: mat.NewVecDense(n, nil)}
			for i := range n {
				for j := i; j < n; j++ {
					g.Info.SetSym(i, j, 100*alike)
				}
				g.Info.SetSym(i, i, 100)
			}
			g.Fresh.CopySym(g.Info)
			at := mat.NewVecDense(n, nil)
			for i, v := range moves {
				if s >= 8+i {
					at.SetVec(i, v)
				}
			}
			g.Pull.MulVec(g.Info, at)
			gs = append(gs, g)
		}
		return find(list, gs, 5, 4, 8)
	}
	three := []*indicator.Indicator{leak, fan, block}
	for _, x := range []struct {
		moves []float64
		want  []int
	}{
		{[]float64{0, 0, 0}, nil}, {[]float64{1, 0, 0}, []int{0}}, {[]float64{1, 0, 0.9}, []int{0, 2}}, {[]float64{0.6, 0, 0.9}, []int{2, 0}},
		{[]float64{1, 0.9, 0}, []int{0}}, {[]float64{1, -0.9, 0}, []int{0, 1}}, {[]float64{0, 0.9, 0}, []int{1}}, // alone it is told, whatever it means
		{[]float64{3, 0, 0.5}, []int{0}}, {[]float64{1, 0, 0.5}, []int{0, 2}},
	} {
		out, active := find(three, 0, x.moves...)
		require.Equal(t, x.want, active, "%v", x.moves)
		for k, f := range out {
			require.Equal(t, active[k], f.ind)
			require.Empty(t, f.alike)
			require.Len(t, f.list, 9, "from the first survey after the reference on")
			require.GreaterOrEqual(t, f.chart.first, 8)
			require.Equal(t, x.moves[f.ind] > 0, f.chart.up)
		}
	}
	out, active := find([]*indicator.Indicator{leak, {Kind: fault.Leak, Zone: 1, Unit: 1}, {Kind: fault.Leak, Zone: 0, Unit: 1}, fan}, 0.999, 1)
	require.Equal(t, []int{0}, active)
	require.Equal(t, []int{1}, out[0].alike, "another place of its own zone is no other, and a fan that gains speed none")
	for _, x := range []struct {
		alike float64
		want  []int
	}{{0.982, []int{1}}, {0.978, nil}} { // it explains 0.982² = 96.4 % of what the first does, or 95.6 %
		out, _ = find([]*indicator.Indicator{leak, {Kind: fault.Leak, Zone: 1, Unit: 1}}, x.alike, 1)
		require.Equal(t, x.want, out[0].alike, x.alike)
	}
}
