package track

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/indicator"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/observe"
	"lostair/readings"
)

// An indicator's limit is the move at which the first port falls under its need, or to
// half of what it had, counted from the reference: the solved model says so.
func TestLimitsOfAnIndicator(t *testing.T) {
	r, k := taught(t)
	for p := range r.Sys.Ports {
		r.Sys.Ports[p].Need = [3]float64{0.9, 0.85, 0.8}[p] * k.PortFlow[p]
	}
	for i, x := range k.List {
		up := x.Kind != fault.FanWeak
		now := make([]float64, len(k.List))
		now[i] = 0.3
		if !up {
			now[i] = -0.3
		}
		level := 0.01 // where its series stands in the last survey
		track := &tracking{t: k, gs: []*indicator.Fit{{List: k.List, At: make([]float64, len(k.List))}, {List: k.List, At: now}}, out: &History{}, of: make([]int, len(k.List))}
		g := gaugeOf(x)
		track.out.Series = []Series{{Gauge: g, Points: []Point{{Value: fault.Interval{Value: g.value(9)}}, {Value: fault.Interval{Value: g.value(level)}}}}}
		require.InDelta(t, level, track.level(i), 1e-9)
		for _, what := range []string{"need", "half"} {
			l, ok := track.crossing(i, what, up)
			if !ok {
				if what == "need" {
					require.NotContains(t, []fault.Kind{fault.FanWeak, fault.FilterLoaded, fault.Blockage}, x.Kind)
				}
				continue
			}
			require.Equal(t, what, l.what)
			amount := (l.limit-level)/x.Unit + now[i]
			if x.Kind == fault.FilterLoaded { // charted by twice the root of its multiple
				root := (l.limit - level) + 2*math.Sqrt(1+now[i]*x.Unit)
				amount = (root*root/4 - 1) / x.Unit
			}
			at := append([]float64(nil), now...)
			shares := func(by float64) (least float64, port string) {
				at[i] = by
				least = math.Inf(1)
				for p, q := range k.FlowsAt(k.List, at) {
					limit := k.PortFlow[p] / 2
					if what == "need" {
						limit = r.Sys.Ports[p].Need
					}
					if q/limit < least {
						least, port = q/limit, r.Sys.Ports[p].ID
					}
				}
				return least, port
			}
			least, port := shares(amount)
			require.InDelta(t, 1, least, 1e-4, "%s %s, %s", x.Kind, x.Where, what)
			require.Equal(t, port, l.port)
			p, _ := r.Sys.PortNamed(port)
			require.Equal(t, track.known(p, what), l.rel)
		}
		if up {
			_, ok := track.crossing(i, "half", false)
			require.False(t, ok && x.Kind != fault.Leak, "the other way lies none")
		}
		now[i] = 1e3
		if !up {
			now[i] = -60
		}
		if _, ok := track.crossing(i, "half", up); x.Kind != fault.Leak {
			require.False(t, ok, "it is crossed already")
		}
	}
	both := (&tracking{t: k, gs: []*indicator.Fit{{List: k.List, At: make([]float64, len(k.List))}}, of: make([]int, len(k.List)),
		out: &History{Series: []Series{{Gauge: FanSpeed, Points: []Point{{Value: fault.Interval{Value: 1}}}}}}}).limitsOf(&Series{Gauge: FanSpeed}, len(k.List)-1, false)
	require.Len(t, both, 2)
	require.Equal(t, []string{"need", "half"}, []string{both[0].what, both[1].what})
	require.Less(t, both[1].limit, both[0].limit)
}

// When a limit is reached: a port whose flow falls by a tenth a year's quarter, by hand,
// the sooner of need and half first; far off limits are not named.
func TestWhenAPortsLimitsAreReached(t *testing.T) {
	r := kit.NewRules(t)
	r.Sys.Ports[0].Need = 0.2
	k := &tracking{t: &indicator.Tracker{M: r.M, PortFlow: []float64{0.25, 0.3, 0.3}, PortSD: []float64{0, 0, 0}},
		out: &History{Series: []Series{{Gauge: FlowShare, Where: "port-a"}}}, days: []float64{0, 10}}
	of := func(rate float64) []Reach {
		return k.limits([]trend{{lines: []line{{at: 0, base: 0, rate: rate, weight: 1}}, rate: fault.Interval{Value: rate}}}, 0, -1)
	}
	list := of(-0.005)
	require.Len(t, list, 2)
	require.Equal(t, []any{"need", "port-a", true}, []any{list[0].What, list[0].Port, list[0].Sure})
	require.InDelta(t, 0.8, list[0].Limit, 1e-9)
	require.InDelta(t, 0.5, list[1].Limit, 1e-9)
	require.InEpsilon(t, -math.Log(0.8)/0.005-10, list[0].Days.Value, 0.02)
	require.InEpsilon(t, -math.Log(0.5)/0.005-10, list[1].Days.Value, 0.02)
	require.Len(t, of(-0.0003), 1, "half of it is six years off")
	require.Empty(t, of(0.01), "it rises")
}

// Of the laws by which a filter may load, each counts by how well it fits, exp(−χ²/2): one
// of 4.5 % that crosses soon does not move the 5 % quantile, one of 5.5 % does.
func TestLawsOfGrowthCountByTheirFit(t *testing.T) {
	r, k := taught(t)
	r.Sys.Ports[0].Need = 0.9 * k.PortFlow[0]
	filter := len(k.List) - 2
	x := &tracking{t: k, gs: []*indicator.Fit{{List: k.List, At: make([]float64, len(k.List))}}, out: &History{}, of: make([]int, len(k.List)), days: []float64{0, 10}}
	x.out.Series = []Series{{Gauge: FilterDrop, Points: []Point{{Value: fault.Interval{Value: 1}}}}}
	limit, ok := x.crossing(filter, "need", true)
	require.True(t, ok)
	laws := FilterDrop.laws()
	low := func(share float64) float64 {
		ways := make([]trend, 3)
		for i, days := range []float64{20, 110, 110} {
			ways[i] = trend{rate: fault.Interval{Value: 1}, lines: []line{{rate: laws[i](limit.limit) / days, weight: 1}}}
		}
		ways[0].misfit = 5 - 2*math.Log(share/(1-share))
		ways[1].misfit, ways[2].misfit = 5, 1000
		list := x.limits(ways, 0, filter)
		require.NotEmpty(t, list)
		require.Equal(t, "need", list[0].What)
		require.InEpsilon(t, 100, list[0].Days.Value, 0.2)
		return list[0].Days.Low
	}
	require.Greater(t, low(0.045), 50.0)
	require.Less(t, low(0.055), 20.0)
}

// Causes stand before the flows that they change, then what was seen first, then the
// order of the series.
func TestOrderOfSignals(t *testing.T) {
	k := &tracking{out: &History{Series: []Series{{Gauge: FlowShare, Signal: -1}, {Gauge: LeakArea, Signal: -1}, {Gauge: FanSpeed, Signal: -1}, {Gauge: FlowShare, Signal: -1}, {Gauge: InTheWay, Signal: -1}},
		Signals: []Signal{{Series: 3, Survey: 4}, {Series: 0, Survey: 5}, {Series: 2, Survey: 9}, {Series: 4, Survey: 7}, {Series: 1, Survey: 9}}}}
	k.sortSignals()
	var got []int
	for _, s := range k.out.Signals {
		got = append(got, s.Series)
	}
	require.Equal(t, []int{4, 1, 2, 3, 0}, got)
	require.Equal(t, []int{4, 1, 2, 3, 0}, []int{k.out.Signals[k.out.Series[4].Signal].Series, k.out.Signals[k.out.Series[1].Signal].Series,
		k.out.Signals[k.out.Series[2].Signal].Series, k.out.Signals[k.out.Series[3].Signal].Series, k.out.Signals[k.out.Series[0].Signal].Series})
}

// The places of a zone are one series, of what they have together, counted from the
// reference; what stands in the way of a port is one by itself.
func TestPlacesOfAZoneAreOneSeries(t *testing.T) {
	r := kit.NewRules(t)
	leak := func(zone int) *indicator.Indicator {
		return &indicator.Indicator{Kind: fault.Leak, Zone: zone, Where: "z"}
	}
	block := func() *indicator.Indicator { return &indicator.Indicator{Kind: fault.Blockage, Zone: -1, Where: "p"} }
	k := &tracking{t: &indicator.Tracker{M: r.M, List: []*indicator.Indicator{leak(0), leak(0), leak(1), block(), block()}}, gs: make([]*indicator.Fit, 2), out: &History{}, ref: 1, of: make([]int, 5)}
	one := func(values ...float64) (out []indicator.Change) {
		for _, v := range values {
			out = append(out, indicator.Change{Value: v, Fresh: 0.3, Sd: 0.4})
		}
		return out
	}
	all := [][]indicator.Change{one(1, 10, 100, 1000, 10000), one(2, 30, 600, 8000, 30000)}
	for i, x := range k.t.List {
		k.follow(i, x, nil, all, 4, 5)
	}
	require.Equal(t, []int{0, 0, 1, 2, 3}, k.of)
	var got []float64
	for _, s := range k.out.Series {
		require.InDelta(t, 0, s.Points[0].Value.Value, 1e-9, "the reference")
		got = append(got, s.Points[1].Value.Value)
	}
	require.InDeltaSlice(t, []float64{1 + 20, 500, 7000, 20000}, got, 1e-9)
	// two places' errors and what is left open of each: 0.6, and √2·0.4; the reference's own 0.6
	p := k.out.Series[0].Points[1].Value
	require.InDelta(t, math.Hypot(1.645*math.Sqrt(0.36+0.32+0.36), 0.2*21), p.High-p.Value, 1e-6)
	p = k.out.Series[2].Points[1].Value
	require.InDelta(t, math.Hypot(1.645*math.Sqrt(0.09+0.16+0.09), 0.2*7000), p.High-p.Value, 1e-6)
}

// Of a zone one of whose places has moved that place is the series, by itself; the filter
// and the fan are always followed so.
func TestThePlaceThatMovedStandsForItsZone(t *testing.T) {
	r := kit.NewRules(t)
	list := []*indicator.Indicator{{Kind: fault.Leak, Zone: 0, Unit: 1}, {Kind: fault.Leak, Zone: 0, Unit: 1}, {Kind: fault.Leak, Zone: 1, Unit: 1},
		{Kind: fault.Blockage, Zone: -1, Unit: 1}, {Kind: fault.FilterLoaded, Zone: -1, Unit: 1, Usual: 0.1}, {Kind: fault.FanWeak, Zone: -1, Unit: 1}}
	n := len(list)
	k := &tracking{t: &indicator.Tracker{M: r.M, List: list}, out: &History{}, ref: 1, of: make([]int, n)}
	all := make([][]indicator.Change, 2)
	for s := range 2 {
		g := &indicator.Fit{List: list, Filter: -1, Info: mat.NewSymDense(n, nil), Fresh: mat.NewSymDense(n, nil), Last: mat.NewSymDense(n, nil), Pull: mat.NewVecDense(n, nil)}
		for i := range n {
			g.Info.SetSym(i, i, 100)
			g.Fresh.SetSym(i, i, 100)
			g.Pull.SetVec(i, float64(100*s*(i+1)))
			all[s] = append(all[s], indicator.Change{Value: float64(-70 * s), Fresh: 1})
		}
		k.gs = append(k.gs, g)
	}
	active := []int{1, 3}
	for i, x := range list {
		k.follow(i, x, active, all, 4, 5)
	}
	var got []float64
	for _, s := range k.out.Series {
		got = append(got, s.Gauge.charted(s.Points[1].Value.Value))
		require.Equal(t, -1, s.Signal)
	}
	require.InDeltaSlice(t, []float64{2, -70, 4, 5, 6}, got, 1e-6, "the second place, what is shared out, the port that moved, filter and fan")
	require.Equal(t, []int{0, 0, 1, 2, 3, 4}, k.of)
	require.Equal(t, 5, distinct(k.t.List))
}

// Limits are worked out of what grows: not of what stands, nor of what came at once.
func TestLimitsAreOfWhatGrows(t *testing.T) {
	r := kit.NewRules(t)
	of := func(f func(week int) float64) Signal {
		list, days := course(f, 30, 0.02)
		k := &tracking{t: &indicator.Tracker{M: r.M, PortFlow: []float64{0.25, 0.3, 0.3}, PortSD: []float64{0, 0, 0}}, out: &History{}, ref: 5, days: days}
		c := charted{scale: 1, first: 14, ewma: ewmaChart{Lower: -0.05, Upper: 0.05}}
		k.add(Series{Gauge: FlowShare, Where: "port-a"}, list, c)
		k.signal(0, list, c, nil, -1)
		return k.out.Signals[0]
	}
	falls := of(func(w int) float64 { return -0.015 * math.Max(float64(w-10), 0) })
	require.Len(t, falls.Limits, 1)
	require.Equal(t, "half", falls.Limits[0].What)
	// half is reached ln 2/0.015 = 46.2 weeks after week 10, 27.2 after the last
	require.InEpsilon(t, 7*(math.Ln2/0.015-19), falls.Limits[0].Days.Value, 0.05)
	require.False(t, falls.Over)
	stands := of(func(w int) float64 { return -0.004 * float64(w%2) })
	require.Empty(t, stands.Limits)
	once := of(func(w int) float64 {
		if w < 12 {
			return 0
		}
		return -0.3 - 0.006*float64(w-12)
	})
	require.True(t, once.Jumped)
	require.Len(t, once.Jumps, 1)
	require.Empty(t, once.Limits)
	require.Less(t, once.Rate.High, 1.0, "though it goes on")
}

// How often a year: nine surveys in eight weeks are 52 a year; one alone, or several on
// one day, are what they are; never more than daily nor less than yearly.
func TestSurveysAYear(t *testing.T) {
	of := func(days ...int) float64 {
		var list []Survey
		for _, d := range days {
			list = append(list, Survey{Date: dayOf(1).AddDate(0, 0, d)})
		}
		return perYear(list)
	}
	require.InDelta(t, 365.25/7, of(0, 7, 14, 21, 28, 35, 42, 49, 56), 1e-9)
	require.Equal(t, 1.0, of(0))
	require.Equal(t, 1.0, of())
	require.Equal(t, 3.0, of(5, 5, 5))
	require.Equal(t, 1.0, of(0, 2000))
	require.InDelta(t, 365.25/364, of(0, 364), 1e-9)
	require.InDelta(t, 365.25, of(0, 1), 1e-9)
	list := []Survey{{Date: dayOf(1)}, {Date: dayOf(1).Add(time.Hour)}, {Date: dayOf(1).Add(2 * time.Hour)}}
	require.Equal(t, 366.0, perYear(list))
}

// What weakens a result: fewer than six surveys after the reference, fewer than three in
// it, and surveys that fit badly, of which the first is named.
func TestWhatWeakensAHistory(t *testing.T) {
	of := func(ref int, misfit ...float64) []fault.Doubt {
		h := &History{}
		for i, m := range misfit {
			h.Surveys = append(h.Surveys, Survey{Survey: &readings.Survey{File: string(rune('a' + i))}, Misfit: m})
		}
		return trackDoubts(h, ref)
	}
	few := func(n int) fault.Doubt { return fault.Doubt{Kind: fault.FewReference, Count: n} }
	short := func(n int) fault.Doubt { return fault.Doubt{Kind: fault.ShortHistory, Count: n} }
	require.Empty(t, of(3, 9, 9, 9, 1, 1, 1, 1, 1, 3))
	require.Equal(t, []fault.Doubt{short(5)}, of(3, 1, 1, 1, 1, 1, 1, 1, 1))
	require.Equal(t, []fault.Doubt{few(2)}, of(2, 1, 1, 1, 1, 1, 1, 1, 1))
	require.Equal(t, []fault.Doubt{short(1), few(2)}, of(2, 1, 1, 1))
	require.Empty(t, of(2, 1, 1), "that there is nothing to compare is the summary itself")
	require.Equal(t, []fault.Doubt{{Kind: fault.SurveysMisfit, Count: 2, File: "e"}}, of(3, 9, 1, 1, 1, 3.1, 1, 1, 4, 1))
}

// Rows set aside are told by line; one whose reason was never looked for has an unknown one.
func TestRowsSetAside(t *testing.T) {
	s := &readings.Survey{Rows: []readings.Row{{Line: 2}, {Line: 3}, {Line: 4}}}
	g := &indicator.Fit{B: &observe.Bound{Survey: s, Observation: []observe.Observation{{Rows: []int{0}}, {Rows: []int{1, 2}}, {Rows: []int{2}}}},
		Wrong: []indicator.SetAside{{Observation: 2, Fits: 5, Reason: fault.Slip{Kind: fault.SlipSign}}, {Observation: 1, Fits: 7}}}
	got := wrongRows(g)
	require.Len(t, got, 2)
	require.Equal(t, []any{3, 7.0, fault.SlipUnknown}, []any{got[0].Row.Line, got[0].Fits, got[0].Reason.Kind})
	require.Equal(t, []any{4, 5.0, fault.SlipSign}, []any{got[1].Row.Line, got[1].Fits, got[1].Reason.Kind})
}

// Diagnosed in full are the newest, and the surveys in which something other than a flow
// was first seen, four at most.
func TestSurveysDiagnosedInFull(t *testing.T) {
	h := &History{Surveys: make([]Survey, 12), Series: []Series{{Gauge: FlowShare}, {Gauge: LeakArea}, {Gauge: FanSpeed}}}
	signal := func(series, survey int) { h.Signals = append(h.Signals, Signal{Series: series, Survey: survey}) }
	signal(1, 5)
	signal(2, 5)
	signal(0, 3)
	require.Equal(t, []int{5, 11}, h.worthFull(0), "one by itself")
	require.Equal(t, []int{5, 11}, h.worthFull(1))
	require.Equal(t, []int{5, 9, 10, 11}, h.worthFull(3))
	require.Len(t, h.worthFull(40), 12)
	require.Empty(t, h.worthFull(-1))
	signal(1, 11)
	require.Equal(t, []int{5, 11}, h.worthFull(1))
	signal(2, 7)
	signal(2, 6)
	signal(2, 4)
	require.Equal(t, []int{5, 6, 7, 11}, h.worthFull(1))
}

// Surveys come by date, those of the sound system first, files of one day by name; a
// quarter of them, one to eight, is the reference where none is named.
func TestSurveysInOrder(t *testing.T) {
	r := kit.NewRules(t)
	survey := func(file, date string) *readings.Survey {
		s := r.SurveyIn([]string{"all"}, kit.Sound, []string{"M"}, nil)
		s.File = file
		s.Rows[0].Date = date
		return s
	}
	order := func(opt Options, all ...*readings.Survey) (files string, reference int) {
		list, bounds, _, err := inOrder(r.M, all, opt)
		require.NoError(t, err)
		require.Len(t, bounds, len(list))
		for i, s := range list {
			require.Same(t, s.Survey, bounds[i].Survey)
			files += s.Survey.File
			if s.Reference {
				require.Equal(t, reference, i, "the first ones")
				reference++
			}
		}
		return files, reference
	}
	a, b, c, d := survey("a", "2031-03-09"), survey("b", "2031-03-02"), survey("c", "2031-03-02"), survey("d", "2031-03-20")
	files, n := order(Options{}, a, d, c, b)
	require.Equal(t, "bcad", files)
	require.Equal(t, 1, n)
	files, n = order(Options{Baselines: []*readings.Survey{d, a}}, c, b)
	require.Equal(t, "adbc", files)
	require.Equal(t, 2, n)
	_, n = order(Options{Reference: 3}, a, b, c, d)
	require.Equal(t, 3, n)
	_, n = order(Options{Reference: 9}, a, b, c, d)
	require.Equal(t, 4, n)
	for many, want := range map[int]int{3: 1, 7: 1, 8: 2, 32: 8, 40: 8} {
		var all []*readings.Survey
		for range many {
			all = append(all, a)
		}
		_, n = order(Options{}, all...)
		require.Equal(t, want, n, "%d surveys", many)
	}
	_, _, _, err := inOrder(r.M, nil, Options{})
	require.ErrorContains(t, err, "there are no surveys")
	_, _, _, err = inOrder(r.M, []*readings.Survey{survey("x", "")}, Options{})
	require.ErrorContains(t, err, "this survey has no date")
	_, _, _, err = inOrder(r.M, []*readings.Survey{{File: "2031-03-02.csv"}}, Options{})
	require.ErrorContains(t, err, "there is no reading in it")
}

// A survey in which every value is zero is left out and said; where no other is left that
// is the error.
func TestSurveysThatHoldNothing(t *testing.T) {
	r := kit.NewRules(t)
	some := r.SurveyIn([]string{"all"}, kit.Sound, []string{"M", "A1"}, nil)
	zero := r.SurveyIn([]string{"all"}, kit.Sound, []string{"M", "A1"}, map[int]float64{2: 0, 3: 0})
	zero.File = "zero.csv"
	kept, said, err := Holding([]*readings.Survey{zero, some})
	require.NoError(t, err)
	require.Equal(t, []*readings.Survey{some}, kept)
	require.Equal(t, []fault.Doubt{{Kind: fault.SurveyZero, File: "zero.csv"}}, said)
	_, _, err = Holding([]*readings.Survey{zero})
	require.ErrorContains(t, err, "every value is zero, so the readings hold nothing")
}

// What each kind of indicator is followed by.
func TestGaugeOfAnIndicator(t *testing.T) {
	of := func(k fault.Kind) Gauge { return gaugeOf(&indicator.Indicator{Kind: k}) }
	require.Equal(t, []Gauge{LeakArea, InTheWay, FilterDrop, FanSpeed}, []Gauge{of(fault.Leak), of(fault.Blockage), of(fault.FilterLoaded), of(fault.FanWeak)})
}
