package track

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/observe"
	"lostair/readings"
)

// An indicator's limit is the move at which the first port falls under its need, or to
// half of what it had, counted from the reference: the solved model says so.
func TestLimitsOfAnIndicator(t *testing.T) {
	r, k := taught(t)
	for p := range r.Sys.Ports {
		r.Sys.Ports[p].Need = [3]float64{0.9, 0.85, 0.8}[p] * k.portFlow[p]
	}
	for i, x := range k.list {
		up := x.kind != fault.FanWeak
		now := make([]float64, len(k.list))
		now[i] = 0.3
		if !up {
			now[i] = -0.3
		}
		level := 0.01 // where its series stands in the last survey
		track := &tracking{t: k, gs: []*indicatorFit{{list: k.list, at: make([]float64, len(k.list))}, {list: k.list, at: now}}, out: &History{}, of: make([]int, len(k.list))}
		g := gaugeOf(x)
		track.out.Series = []Series{{Gauge: g, Points: []Point{{Value: fault.Interval{Value: g.value(9)}}, {Value: fault.Interval{Value: g.value(level)}}}}}
		require.InDelta(t, level, track.level(i), 1e-9)
		for _, what := range []string{"need", "half"} {
			l, ok := track.crossing(i, what, up)
			if !ok {
				if what == "need" {
					require.NotContains(t, []fault.Kind{fault.FanWeak, fault.FilterLoaded, fault.Blockage}, x.kind)
				}
				continue
			}
			require.Equal(t, what, l.what)
			amount := (l.limit-level)/x.unit + now[i]
			if x.kind == fault.FilterLoaded { // charted by twice the root of its multiple
				root := (l.limit - level) + 2*math.Sqrt(1+now[i]*x.unit)
				amount = (root*root/4 - 1) / x.unit
			}
			at := append([]float64(nil), now...)
			shares := func(by float64) (least float64, port string) {
				at[i] = by
				least = math.Inf(1)
				for p, q := range k.flowsAt(k.list, at) {
					limit := k.portFlow[p] / 2
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
			require.InDelta(t, 1, least, 1e-4, "%s %s, %s", x.kind, x.where, what)
			require.Equal(t, port, l.port)
			p, _ := r.Sys.PortNamed(port)
			require.Equal(t, track.known(p, what), l.rel)
		}
		if up {
			_, ok := track.crossing(i, "half", false)
			require.False(t, ok && x.kind != fault.Leak, "the other way lies none")
		}
		now[i] = 1e3
		if !up {
			now[i] = -60
		}
		if _, ok := track.crossing(i, "half", up); x.kind != fault.Leak {
			require.False(t, ok, "it is crossed already")
		}
	}
	both := (&tracking{t: k, gs: []*indicatorFit{{list: k.list, at: make([]float64, len(k.list))}}, of: make([]int, len(k.list)),
		out: &History{Series: []Series{{Gauge: FanSpeed, Points: []Point{{Value: fault.Interval{Value: 1}}}}}}}).limitsOf(&Series{Gauge: FanSpeed}, len(k.list)-1, false)
	require.Len(t, both, 2)
	require.Equal(t, []string{"need", "half"}, []string{both[0].what, both[1].what})
	require.Less(t, both[1].limit, both[0].limit)
}

// When a limit is reached: a port whose flow falls by a tenth a year's quarter, by hand,
// the sooner of need and half first; far off limits are not named.
func TestWhenAPortsLimitsAreReached(t *testing.T) {
	r := kit.NewRules(t)
	r.Sys.Ports[0].Need = 0.2
	k := &tracking{t: &tracker{m: r.M, portFlow: []float64{0.25, 0.3, 0.3}, portSD: []float64{0, 0, 0}},
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
	r.Sys.Ports[0].Need = 0.9 * k.portFlow[0]
	filter := len(k.list) - 2
	x := &tracking{t: k, gs: []*indicatorFit{{list: k.list, at: make([]float64, len(k.list))}}, out: &History{}, of: make([]int, len(k.list)), days: []float64{0, 10}}
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
	leak := func(zone int) *indicator { return &indicator{kind: fault.Leak, zone: zone, where: "z"} }
	block := func() *indicator { return &indicator{kind: fault.Blockage, zone: -1, where: "p"} }
	k := &tracking{t: &tracker{m: r.M, list: []*indicator{leak(0), leak(0), leak(1), block(), block()}}, gs: make([]*indicatorFit, 2), out: &History{}, ref: 1, of: make([]int, 5)}
	one := func(values ...float64) (out []change) {
		for _, v := range values {
			out = append(out, change{value: v, fresh: 0.3, sd: 0.4})
		}
		return out
	}
	all := [][]change{one(1, 10, 100, 1000, 10000), one(2, 30, 600, 8000, 30000)}
	for i, x := range k.t.list {
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
	list := []*indicator{{kind: fault.Leak, zone: 0, unit: 1}, {kind: fault.Leak, zone: 0, unit: 1}, {kind: fault.Leak, zone: 1, unit: 1},
		{kind: fault.Blockage, zone: -1, unit: 1}, {kind: fault.FilterLoaded, zone: -1, unit: 1, usual: 0.1}, {kind: fault.FanWeak, zone: -1, unit: 1}}
	n := len(list)
	k := &tracking{t: &tracker{m: r.M, list: list}, out: &History{}, ref: 1, of: make([]int, n)}
	all := make([][]change, 2)
	for s := range 2 {
		g := &indicatorFit{list: list, filter: -1, info: mat.NewSymDense(n, nil), fresh: mat.NewSymDense(n, nil), last: mat.NewSymDense(n, nil), pull: mat.NewVecDense(n, nil)}
		for i := range n {
			g.info.SetSym(i, i, 100)
			g.fresh.SetSym(i, i, 100)
			g.pull.SetVec(i, float64(100*s*(i+1)))
			all[s] = append(all[s], change{value: float64(-70 * s), fresh: 1})
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
	require.Equal(t, 5, k.t.followed())
}

// Limits are worked out of what grows: not of what stands, nor of what came at once.
func TestLimitsAreOfWhatGrows(t *testing.T) {
	r := kit.NewRules(t)
	of := func(f func(week int) float64) Signal {
		list, days := course(f, 30, 0.02)
		k := &tracking{t: &tracker{m: r.M, portFlow: []float64{0.25, 0.3, 0.3}, portSD: []float64{0, 0, 0}}, out: &History{}, ref: 5, days: days}
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
	g := &indicatorFit{b: &observe.Bound{Survey: s, Observation: []observe.Observation{{Rows: []int{0}}, {Rows: []int{1, 2}}, {Rows: []int{2}}}},
		wrong: []setAsideRow{{Observation: 2, fits: 5, reason: fault.Slip{Kind: fault.SlipSign}}, {Observation: 1, fits: 7}}}
	got := g.wrongRows()
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

// sites are places of a story whose odds are e^log before any survey.
func sites(log float64, kinds ...fault.Kind) []*fault.Site {
	var out []*fault.Site
	for i, k := range kinds {
		out = append(out, &fault.Site{Kind: k, Where: string(rune('a' + i)), Duct: i, Prior: math.Exp(log) * fault.ExpectedFaults / Breaks})
	}
	return out
}

// Sites are fitted by what they explain over their best run of surveys, with their prior,
// the best first: within so many nats of the best, no more than two dozen, and not what
// explains less than a nat; at the collector always, where something large happens.
func TestSitesWorthFitting(t *testing.T) {
	of := func(log float64, screens ...[]float64) []int {
		kinds := make([]fault.Kind, len(screens))
		x := &story{sites: sites(log, kinds...), first: 1, all: []*telling{nil, {}, {}, {}}}
		for i := 1; i < 4; i++ {
			for _, s := range screens {
				x.all[i].screen = append(x.all[i].screen, s[i-1])
			}
		}
		x.sites[len(x.sites)-1].Duct = -1
		return x.candidates()
	}
	none := []float64{0, 0, 0}
	require.Equal(t, []int{1, 0}, of(-2, []float64{3, -9, 5}, []float64{3, -1, 5}, []float64{-9, 0.9, -9}, none), "the best run, not the sum")
	require.Equal(t, []int{0}, of(-2, []float64{1.1, 0, 0}, []float64{1, 0, 0}, none))
	require.Equal(t, []int{0}, of(-7, []float64{1.1, 0, 0}, none))
	require.Empty(t, of(-7.2, []float64{1.1, 0, 0}, none), "under −6 nats with its prior")
	// the best at 10 with its prior: others down to 10 − 12 − 5
	require.Equal(t, []int{0, 1}, of(-9, []float64{19, 0, 0}, []float64{2.1, 0, 0}, []float64{1.9, 0, 0}, none))
	// at 14: down to 14 − 12 − 7, and the collector's, that explain nothing
	require.Equal(t, []int{0, 1, 3}, of(-9, []float64{23, 0, 0}, []float64{4.1, 0, 0}, []float64{3.9, 0, 0}, none))
	var many [][]float64
	for range 30 {
		many = append(many, []float64{5, 0, 0})
	}
	require.Len(t, of(-2, append(many, none)...), 24)
	x := &story{sites: sites(-2, fault.Leak), first: 0, all: []*telling{{screen: []float64{5}}}}
	require.Len(t, x.candidates(), 1)
	x.sites[0].Prior = 0
	require.Empty(t, x.candidates())
}

// The strongest of several places, by what their paths weigh together: there is what is
// likelier than seven in ten, and on in the surveys that its paths hold.
func TestTheStrongestPlace(t *testing.T) {
	usual := usualOf(fault.Leak)
	x := &story{sites: sites(-3, fault.Leak, fault.Leak, fault.Leak), first: 1, all: make([]*telling, 6)}
	for i := 1; i < 6; i++ {
		on := i >= 3
		look := func(gain float64) seen {
			if !on {
				return sound()
			}
			return shows(gain, usual.mean)
		}
		x.all[i] = &telling{looks: map[int]seen{0: look(4), 1: look(6), 2: sound()}}
	}
	e := x.strongest([]int{0, 1, 2})
	require.NotNil(t, e)
	require.Equal(t, 1, e.site)
	require.Greater(t, e.there, 0.999)
	require.InDeltaSlice(t, []float64{0, 0, 0, 1, 1, 1}, e.on, 0.02)
	require.InDelta(t, total(paths(x.looksOf(1), usual, 1, x.sites[1].Prior/fault.ExpectedFaults)), e.weight, 0.1, "the others weigh little beside it")
	// Two nats a survey for three surveys, tempered: 6/(1 + 0.7·2) = 2.5 nats.
	require.Len(t, e.like, 2)
	require.Equal(t, []int{1, 0}, []int{e.like[0].site, e.like[1].site})
	require.InDelta(t, math.Exp(2.5), e.like[0].share/e.like[1].share, 0.5)
	require.InDelta(t, 1, e.like[0].share+e.like[1].share, 0.01)
	require.Equal(t, []int{1, 0}, e.places())
	require.Nil(t, x.strongest(nil))
	require.Nil(t, x.strongest([]int{2}))

	// alone in one survey: its odds are what tells, e^(gain) of 4 % a survey, five surveys
	one := func(gain float64) *strand {
		y := &story{sites: sites(0, fault.Leak), first: 1, all: make([]*telling, 3)}
		y.sites[0].Prior = fault.ExpectedFaults
		y.all[1] = &telling{looks: map[int]seen{0: {known: true, gain: -20}}}
		y.all[2] = &telling{looks: map[int]seen{0: {known: true, gain: gain}}}
		return y.strongest([]int{0})
	}
	// 0.04·0.96·e^gain against 1: seven in ten from e^gain = 2.333/0.0384
	require.NotNil(t, one(math.Log(2.34/0.0384)))
	require.Nil(t, one(math.Log(2.32/0.0384)))
	require.InDelta(t, 0.8, one(math.Log(4/0.0384)).there, 1e-3)
}

// A severity milder than any worth telling is none: 2.3 standard deviations under its
// usual, at its worst; of a gate, which is the milder the more it is open, over it.
func TestWhatIsHardlyThere(t *testing.T) {
	at := func(k fault.Kind, first, last float64) bool {
		p := fault.Severities[k]
		return hardly(k, []path{{log: -9, first: bell{p.Mean, 1}, last: bell{p.Mean, 1}}, {log: 0, first: bell{p.Mean + first*p.Sd, 1}, last: bell{p.Mean + last*p.Sd, 1}}})
	}
	for _, x := range []struct {
		first, last float64
		mild        bool
	}{{-2.2, -2.2, false}, {-2.4, -2.4, true}, {-2.4, -2.2, false}, {-2.2, -2.4, false}, {2.4, 2.4, false}} {
		require.Equal(t, x.mild, at(fault.Leak, x.first, x.last), "%v", x)
		require.Equal(t, x.mild, at(fault.GateRestricted, -x.first, -x.last), "%v", x)
	}
}

// A severity has moved if it did by half of its z, and by twice what it is known to.
func TestSeveritiesThatMoved(t *testing.T) {
	sure := func(z float64) bell { return bell{z, 1e4} }
	for _, x := range []struct {
		k           fault.Kind
		first, last bell
		grew, fell  bool
	}{
		{fault.Leak, sure(0), sure(0.51), true, false}, {fault.Leak, sure(0), sure(0.49), false, false},
		{fault.Leak, sure(0.51), sure(0), false, true}, {fault.GateRestricted, sure(0), sure(0.6), false, true},
		{fault.GateRestricted, sure(0.6), sure(0), true, false},
		{fault.Leak, bell{0, 4}, bell{1.35, 4}, false, false}, // known to √(1/4 + 1/4) = 0.707
		{fault.Leak, bell{0, 4}, bell{1.45, 4}, true, false},
	} {
		grew, fell := moved(x.k, x.first, x.last)
		require.Equal(t, []bool{x.grew, x.fell}, []bool{grew, fell}, "%v", x)
	}
	// a hole of a share of its bore: 1.645 standard deviations of z about 4 %
	v := &fault.Variant{Kind: fault.Leak, Bore: 0.02}
	s := severityOf(v, bell{fault.Logit(0.04), 25}, 0)
	require.InDelta(t, 0.02*0.04, s.Value, 1e-9)
	require.InDelta(t, 0.02*fault.Logistic(fault.Logit(0.04)-1.645*0.2), s.Low, 1e-9)
	require.InDelta(t, 0.02*fault.Logistic(fault.Logit(0.04)+1.645*0.2), s.High, 1e-9)
	g := severityOf(&fault.Variant{Kind: fault.GateRestricted}, bell{0, 25}, 0)
	require.Less(t, g.Low, 0.5)
	require.Greater(t, g.High, 0.5)
}

// What is said of an episode: places by their share of its chance, its own first, the
// others up to eight; the moment it ended, unless it lasts; and how bad it was last.
func TestWhatIsSaidOfAnEpisode(t *testing.T) {
	v := func(site int) *fault.Variant { return &fault.Variant{Site: site, Kind: fault.Leak, Bore: 0.02} }
	kinds := make([]fault.Kind, 12)
	x := &story{sites: sites(0, kinds...), first: 1, all: make([]*telling, 5)}
	for i := range x.all {
		x.all[i] = &telling{base: &fit.Fit{}}
	}
	x.all[2].base.Faults = []*fault.Variant{v(3), v(0)}
	x.all[3].base.Faults = []*fault.Variant{v(3)}
	e := &strand{site: 0, there: 0.9, paths: []path{{from: 2, to: 3, log: 0, first: bell{-3, 400}, last: bell{-2, 400}}}, like: []likeness{{1, 0.5}, {0, 0.3}, {2, 0.2}}}
	got := x.episode(e)
	require.Equal(t, "a", got.Where)
	require.InDelta(t, 0.27, got.Probability, 1e-12)
	require.Equal(t, []string{"b", "c"}, []string{got.Alike[0].Where, got.Alike[1].Where})
	require.InDelta(t, 0.45, got.Alike[0].Probability, 1e-12)
	require.InDelta(t, 0.9, got.Together, 1e-12)
	require.Equal(t, Moment{2, 2, 2}, got.From)
	require.Equal(t, Moment{3, 3, 3}, *got.To)
	require.InDelta(t, 0.02*fault.Logistic(-2), got.Severity.Value, 1e-9)
	require.True(t, got.Grew)
	of := func(e *strand, i int) *fault.Variant {
		v, _ := x.variantOf(e, i)
		return v
	}
	require.Equal(t, x.all[2].base.Faults[1], of(e, 4))
	require.Nil(t, of(e, 1))
	require.Nil(t, of(&strand{site: 7}, 4))

	e.paths[0].to, e.like = 5, nil
	for i := range 12 {
		e.like = append(e.like, likeness{i, 0.1})
	}
	got = x.episode(e)
	require.Nil(t, got.To, "it lasts")
	require.Len(t, got.Alike, 8)
	require.InDelta(t, 0.9, got.Together, 1e-12, "no more than that it is there at all")
}

// Two episodes meet if they are there in one survey and may be in one duct.
func TestEpisodesThatMeet(t *testing.T) {
	x := &story{sites: sites(0, fault.Leak, fault.Leak, fault.Leak, fault.Leak)}
	x.sites[2].Duct, x.sites[3].Duct = 0, -1
	of := func(on []float64, at ...int) *strand {
		e := &strand{on: on}
		for _, i := range at {
			e.like = append(e.like, likeness{i, 1})
		}
		return e
	}
	early, late := []float64{1, 0.5, 0.2}, []float64{0, 0.5, 1}
	a := of(early, 0)
	require.True(t, x.meets(a, of(late, 2)), "another site of that duct")
	require.True(t, x.meets(a, of(late, 1, 2)))
	require.False(t, x.meets(a, of(late, 1)))
	require.False(t, x.meets(a, of([]float64{0, 0.4, 1}, 2)))
	require.False(t, x.meets(of([]float64{1, 0.4, 0}, 0), of(late, 2)))
	require.False(t, x.meets(a, a), "itself")
	require.False(t, x.meets(of(early, 3), of(late, 3)), "the collector is no duct")
}

// A story is told with the faults of each survey beside one another: taking an episode
// holds it where it is on, and leaving it takes it out again.
func TestTakingAndLeavingAnEpisode(t *testing.T) {
	r, k := taught(t)
	b := []*observe.Bound{boundOf(t, r, kit.Sound), boundOf(t, r, kit.LeakIn("hose-b", 1, 8e-4)), boundOf(t, r, kit.LeakIn("hose-b", 1, 8e-4))}
	x, err := k.tellStory(t.Context(), b, make([][]int, 3), 1)
	require.NoError(t, err)
	require.Len(t, x.found, 1)
	e := x.found[0]
	require.Equal(t, "hose-b", x.sites[e.site].Where)
	for i := 1; i < 3; i++ {
		require.Len(t, x.all[i].base.Faults, 1)
		require.Greater(t, x.all[i].base.Evidence, x.all[i].plain.Evidence+10)
		x.leave(i, e)
		require.Empty(t, x.all[i].base.Faults)
		require.InDelta(t, x.all[i].plain.Evidence, x.all[i].base.Evidence, 0.5)
	}
	require.NoError(t, x.hold(t.Context(), []*strand{e}))
	require.Len(t, x.all[1].base.Faults, 1)
	require.NoError(t, x.hold(t.Context(), nil))
	require.Same(t, x.all[1].plain, x.all[1].base)
	// at first look and fitted, the hole explains most; what says nothing explains nothing
	x.screen(x.all[1])
	require.NoError(t, x.hold(t.Context(), nil))
	x.screen(x.all[1])
	var list []int
	first, best := 0, 0
	for i := range x.sites {
		list = append(list, i)
		require.GreaterOrEqual(t, x.all[1].screen[i], -2.0)
		if x.all[1].screen[i] > x.all[1].screen[first] {
			first = i
		}
	}
	require.Equal(t, "hose-b", x.sites[first].Where)
	require.Greater(t, x.all[1].screen[first], 20.0)
	require.Contains(t, x.all[1].screen, -2.0, "no idea lies there")
	x.look(1, list)
	for i := range x.sites {
		s := x.all[1].looks[i]
		require.True(t, s.known, x.sites[i].Where)
		if s.gain > x.all[1].looks[best].gain {
			best = i
		}
		require.Equal(t, x.all[1].at[i] == nil, s.about == bell{} && s.gain <= -3, "%s %s: a severity that is no fault's", x.sites[i].Kind, x.sites[i].Where)
	}
	require.Equal(t, e.site, best)
	require.InEpsilon(t, x.all[1].at[best].Severity(x.all[1].looks[best].about.mean), 8e-4, 0.2)
	x.all[1].base.Status = fit.Failed
	x.all[1].screen, x.all[1].looks = nil, map[int]seen{}
	x.look(1, list)
	x.screen(x.all[1])
	require.Empty(t, x.all[1].looks)
	require.InDelta(t, -2*float64(len(list)), floats.Sum(x.all[1].screen), 1e-9, "of what could not be fitted nothing is said")
	x.all[1].base.Status = fit.Settled

	e.on[2] = 0.49
	require.NoError(t, x.hold(t.Context(), []*strand{e}))
	require.Len(t, x.all[1].base.Faults, 1)
	require.Empty(t, x.all[2].base.Faults, "it is likelier gone")

	none, err := k.tellStory(t.Context(), b[:1], make([][]int, 1), 1)
	require.NoError(t, err)
	require.Nil(t, none, "there is nothing but the reference")
}
