package track

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/observe"
	"lostair/readings"
	"lostair/readings/units"
)

// boundOf is a survey of the rules' shop, bound.
func boundOf(t *testing.T, r *kit.Rules, h kit.Hurt) *observe.Bound {
	t.Helper()
	b, bad := observe.Bind(r.M, r.Survey(h, kit.RuleTaps, nil))
	require.NoError(t, bad.Err())
	return b
}

// taught is a tracker that two sound surveys of the rules' shop have taught.
func taught(t *testing.T) (*kit.Rules, *tracker) {
	t.Helper()
	r := kit.NewRules(t)
	b := boundOf(t, r, kit.Sound)
	k, err := newTracker(t.Context(), r.M, []*observe.Bound{b, b}, []*observe.Bound{b})
	require.NoError(t, err)
	require.NoError(t, k.portsAtRest())
	return r, k
}

// Leaks are followed in each run of trunk and each drop, nearer the upper or the lower
// end of each piece between taps, and at the bin; then what stands in the way of each
// port, the filter and the fan.
func TestWhatIsFollowed(t *testing.T) {
	r := kit.NewRules(t)
	names := func(zones [][]int) (out []string) {
		for _, z := range zones {
			out = append(out, strings.Join(namesOf(r.Sys, z), " "))
		}
		return out
	}
	zones := ZonesOf(r.M)
	require.Equal(t, []string{"main", "drop-a hose-a", "drop-b hose-b", "drop-c hose-c"}, names(zones))
	list := indicators(r.M, zones)
	var got []string
	for _, x := range list {
		got = append(got, fmt.Sprint(x.kind, " ", x.where, " ", x.zone))
	}
	var want []string
	for i, z := range []string{"main", "drop-a, hose-a", "drop-b, hose-b", "drop-c, hose-c"} {
		pieces := 4 // of a drop two, of its hose two, each with a tap
		if z == "main" {
			pieces = 2
		}
		for range 2 * pieces {
			want = append(want, fmt.Sprint(fault.Leak, " ", z, " ", i))
		}
	}
	want = append(want, fmt.Sprint(fault.Leak, " bin 4"))
	for _, p := range []string{"port-a", "port-b", "port-c"} {
		want = append(want, fmt.Sprint(fault.Blockage, " ", p, " -1"))
	}
	want = append(want, fmt.Sprint(fault.FilterLoaded, " filter -1"), fmt.Sprint(fault.FanWeak, " fan -1"))
	require.Equal(t, want, got)

	bore := func(mm float64) float64 { return math.Pi / 4 * mm * mm * 1e-6 }
	up := r.M.DuctSegments(r.Duct("main"))[0]
	for i, shares := range [][2]float64{{0.75, 0.25}, {0.25, 0.75}} {
		x := list[i]
		require.InEpsilon(t, 0.015*bore(180), x.unit, 1e-9)
		require.Equal(t, int32(up), x.spots[0].Slot.Ix, "its upper end")
		require.Equal(t, int32(r.M.Position(up).Parent), x.spots[1].Slot.Ix, "its lower end")
		require.Equal(t, shares, [2]float64{x.spots[0].Share, x.spots[1].Share})
	}
	require.InEpsilon(t, 0.015*bore(110), list[4].unit, 1e-9)
	bin := list[slices.IndexFunc(list, func(x *indicator) bool { return x.where == "bin" })]
	require.InEpsilon(t, 0.015*r.M.Position(airflow.BinNode).Bore, bin.unit, 1e-9)
	require.Equal(t, 1.0, bin.spots[0].Share)

	require.Equal(t, asbuilt.Spreads[airflow.FilterLoss].Own, filterSpread(r.M))
	r.Sys.Uncertainty.Filter = 0.3
	require.Equal(t, 0.3, filterSpread(r.M))
	require.Equal(t, "main, drop-a, hose-a", zoneName(r.M, []int{0, 1, 2}))
	require.Equal(t, "main and 3 more", zoneName(r.M, []int{0, 1, 2, 3}))
	require.Equal(t, []Gauge{LeakArea, InTheWay, FilterDrop, FanSpeed}, []Gauge{gaugeOf(bin), gaugeOf(list[len(list)-3]), gaugeOf(list[len(list)-2]), gaugeOf(list[len(list)-1])})

	// without filter and bin there is less to follow
	less := kit.RulesOf(t, strings.NewReplacer("  filter: {drop: 160, at: 1800}\n", "", "  bin: true\n", "").Replace(kit.RuleShop))
	require.Len(t, indicators(less.M, ZonesOf(less.M)), len(list)-2)
}

// What a reading and a port's flow move by with an indicator is what a small change of
// it does to the solved model.
func TestSlopesAreSmallChanges(t *testing.T) {
	r, k := taught(t)
	require.NotNil(t, k.shared.V)
	st, g := r.M.NewState(), r.M.NewGradient()
	probe, err := r.M.ProbeAt("M", units.StaticPressure)
	require.NoError(t, err)
	cfg, err := r.M.Configure(true, nil, nil)
	require.NoError(t, err)
	const step = 1e-3
	at := func(i int, by float64) (pressure float64, flows []float64) {
		c := k.coefs()
		amount := make([]float64, len(k.list))
		if i >= 0 {
			k.list[i].apply(&c, by)
			amount[i] = by
		}
		require.NoError(t, st.Solve(&c, cfg))
		return st.Value(probe), k.flowsAt(k.list, amount)
	}
	_, rest := at(-1, 0)
	for p, q := range rest {
		require.InEpsilon(t, q, k.portFlow[p], 1e-6)
	}
	for i, x := range k.list {
		c := k.coefs()
		require.NoError(t, st.Solve(&c, cfg))
		st.Prepare()
		st.Sensitivity(probe, g)
		slope := x.slope(&c, &g.Coefs)
		up, more := at(i, step)
		down, less := at(i, -step)
		require.InDelta(t, (up-down)/(2*step), slope, 1e-3*math.Abs(slope)+1e-2, "%s %s", x.kind, x.where)
		for p := range rest {
			want := (math.Log(more[p]) - math.Log(less[p])) / (2 * step)
			require.InDelta(t, want, k.portGrad[p][i], 1e-3*math.Abs(want)+1e-5, "%s %s at %d", x.kind, x.where, p)
		}
	}
}

// Amounts stop short of what can't be: a filter that adds pressure, a hood that does.
func TestAmountsKeepWithinReason(t *testing.T) {
	_, k := taught(t)
	for _, x := range k.list {
		c := k.coefs()
		before := c.Clone()
		x.apply(&c, -1000)
		switch x.kind {
		case fault.FilterLoaded:
			require.InEpsilon(t, 0.05*before.Filter, c.Filter, 1e-9)
		case fault.Blockage:
			require.InEpsilon(t, 0.02, *x.spots[0].Slot.Of(&c), 1e-9)
		case fault.FanWeak:
			require.Positive(t, c.Speed)
		}
	}
}

// What the reference leaves open of a port's flow: by the model's own spreads where
// nothing is taught, with the filter left out, and less once it is.
func TestHowFarAFlowIsKnown(t *testing.T) {
	r, k := taught(t)
	require.Len(t, k.portSD, 3)
	known := slices.Clone(k.portSD)
	k.shared = fit.Prior{Mean: make([]float64, k.l.N), Scale: 1}
	require.NoError(t, k.portsAtRest())
	st := r.M.NewState()
	flow := func(theta []float64) float64 {
		c := r.M.NewCoefs()
		k.u.Coefs(theta, &c, make([]float64, len(k.u.Parts)))
		c.Filter *= math.Exp(k.u.FilterDay() * k.filterAt)
		require.NoError(t, st.Solve(&c, airflow.Alone(r.M, 0)))
		return st.PortFlow(0)
	}
	sum := 0.0
	for i := range k.l.N {
		if i == int(k.u.Parts[k.u.Filter].Ix[0]) {
			continue
		}
		theta := make([]float64, k.l.N)
		theta[i] = 1e-3
		up := flow(theta)
		theta[i] = -1e-3
		d := math.Log(up/flow(theta)) / 2e-3
		sum += d * d
	}
	require.InEpsilon(t, math.Sqrt(sum), k.portSD[0], 1e-2)
	for p := range known {
		require.Less(t, known[p], 0.8*k.portSD[p], "it has been taught")
		require.Positive(t, known[p])
	}
}

// A linearisation expects what the reference surveys read, its errors are a covariance,
// and less is open than by the page.
func TestWhatALinearisationExpects(t *testing.T) {
	r, k := taught(t)
	b := boundOf(t, r, kit.Sound)
	l, err := k.newLinearisation(b)
	require.NoError(t, err)
	var e mat.EigenSym
	require.True(t, e.Factorize(l.lasting, false))
	require.Greater(t, slices.Min(e.Values(nil)), -1e-6)
	for i, o := range b.Observation {
		require.InDelta(t, o.Y, l.h[i], 3*o.Sd+0.01*math.Abs(o.Y), b.Survey.Readings[o.Reading].Point)
	}
	k.shared.V = nil
	page, err := k.newLinearisation(b)
	require.NoError(t, err)
	for i := range l.h {
		require.Less(t, l.lasting.At(i, i), page.lasting.At(i, i))
	}
	// the fan's day: pressures go with the square of its speed, so all move the same way
	for i := range l.h {
		require.Positive(t, l.fan[i]*l.h[i])
	}
}

// Surveys share a linearisation if they read the same points, in the same settings, with
// the same hoses off, one by one or across the pipe.
func TestWhichSurveysAreAlike(t *testing.T) {
	of := func(change func(r *readings.Reading, o *observe.Observation)) string {
		r := readings.Reading{Open: readings.Open{Gates: []string{"a"}}, Point: "M", Quantity: units.Suction, Value: 7}
		o := observe.Observation{}
		change(&r, &o)
		return layoutKey(&observe.Bound{Survey: &readings.Survey{Readings: []readings.Reading{r}}, Observation: []observe.Observation{o}})
	}
	same := of(func(*readings.Reading, *observe.Observation) {})
	require.Equal(t, same, of(func(r *readings.Reading, o *observe.Observation) { r.Value, o.Y = 9, 9 }))
	require.NotEqual(t, same, of(func(r *readings.Reading, _ *observe.Observation) { r.Open.Gates = []string{"b"} }))
	require.NotEqual(t, same, of(func(r *readings.Reading, _ *observe.Observation) { r.Point = "A1" }))
	require.NotEqual(t, same, of(func(r *readings.Reading, _ *observe.Observation) { r.Quantity = units.StaticPressure }))
	require.NotEqual(t, same, of(func(r *readings.Reading, _ *observe.Observation) { r.HoseOff = []string{"port-a"} }))
	require.NotEqual(t, same, of(func(r *readings.Reading, _ *observe.Observation) { r.Positions = 10 }))
	across := of(func(r *readings.Reading, _ *observe.Observation) { r.Positions = 10 })
	require.Equal(t, across, of(func(r *readings.Reading, _ *observe.Observation) { r.Positions = 5 }))
	require.NotEqual(t, same, of(func(_ *readings.Reading, o *observe.Observation) { o.Cfg = 1 }))
}

// lens is a survey of three readings through a linearisation made by hand.
func lens(t *testing.T) *linearFit {
	r := kit.NewRules(t)
	suction, err := r.M.ProbeAt("M", units.Suction)
	require.NoError(t, err)
	velocity, err := r.M.ProbeAt("port-a", units.MeanVelocity)
	require.NoError(t, err)
	k := &tracker{m: r.M, filter: 1, list: []*indicator{{unit: 2}, {kind: fault.FilterLoaded, unit: 0.5, usual: 0.2}}}
	l := &linearisation{t: k, h: []float64{100, 200, 20}, fan: []float64{2, 4, 0.2}, lasting: mat.NewSymDense(3, []float64{9, 3, 0, 3, 16, 0, 0, 0, 1})}
	b := &observe.Bound{Survey: &readings.Survey{File: "s.csv"}, Observation: []observe.Observation{
		{Y: 104, Fresh: 3, Gain: 1, GainIx: 0, Probe: suction}, {Y: 199, Fresh: 4, Gain: 2, GainIx: 0, Probe: suction}, {Y: 21, Fresh: 0.5, Gain: 0.3, GainIx: 1, Probe: velocity}}}
	return &linearFit{l: l, b: b, r: []float64{4, -1, 1}, ind: mat.NewDense(3, 2, []float64{5, 1, -4, 2, 0.5, 0.1})}
}

// What is new in each survey, by hand: the fan's and the air's day (1 % of a pressure's
// air), what an instrument keeps, and each reading's own error with a thousandth of it
// for the model; of a row set aside nothing is believed.
func TestWhatIsNewInEachSurvey(t *testing.T) {
	v := lens(t)
	f := v.spread(map[int]bool{2: true})
	require.InDelta(t, 2*4+1e-4*100*200+1*2, f.At(0, 1), 1e-9)
	require.InDelta(t, 2*0.2, f.At(0, 2), 1e-9, "another instrument, and no pressure")
	require.InDelta(t, 4+1e-4*100*100+1+9+1e-6*104*104, f.At(0, 0), 1e-9)
	require.InEpsilon(t, 1e10*(0.25+1e-6*21*21), f.At(2, 2), 1e-9)
	// sound: with what lasts, and the filter in any of its usual states: 0.2/0.5 of its column
	s := v.sound(f)
	require.InDelta(t, f.At(0, 1)+3+0.4*0.4*1*2, s.At(0, 1), 1e-9)
	require.InDelta(t, f.At(1, 1)+16+0.4*0.4*4, s.At(1, 1), 1e-9)
	v.l.t.filter = -1
	require.InDelta(t, f.At(0, 1)+3, v.sound(f).At(0, 1), 1e-9)
	v.l.t.list[0], v.l.t.filter = &indicator{kind: fault.FilterLoaded, unit: 0.5, usual: 0.2}, 0
	require.InDelta(t, f.At(0, 1)+3-0.4*0.4*5*4, v.sound(f).At(0, 1), 1e-9, "whichever it is in the list")
}

// The changes are generalised least squares with each drawn to nothing by its usual one,
// and each reading is judged by what all others make of it: against the formulas for
// joint normals.
func TestChangesAndOddReadingsByTheNormalsFormulas(t *testing.T) {
	v := lens(t)
	f := v.spread(nil)
	s := v.sound(f)
	require.True(t, v.solve(s))
	var si, left, inv mat.Dense
	require.NoError(t, si.Inverse(s))
	left.Product(v.ind.T(), &si, v.ind)
	pull, at := mat.NewVecDense(2, nil), mat.NewVecDense(2, nil)
	var w mat.Dense
	w.Mul(v.ind.T(), &si)
	pull.MulVec(&w, mat.NewVecDense(3, v.r))
	require.NoError(t, inv.Inverse(mat.NewDense(2, 2, []float64{left.At(0, 0) + 1, left.At(0, 1), left.At(1, 0), left.At(1, 1) + 1})))
	at.MulVec(&inv, pull)
	v.quadratics(s, f)
	var fresh, last mat.Dense
	fresh.Product(&w, f, w.T())
	last.Product(&w, v.l.lasting, w.T())
	for i := range 2 {
		require.InDelta(t, at.AtVec(i), v.x[i], 1e-9)
		require.InDelta(t, pull.AtVec(i), v.pull.AtVec(i), 1e-9)
		for j := range 2 {
			require.InDelta(t, left.At(i, j), v.info.At(i, j), 1e-9)
			require.InDelta(t, fresh.At(i, j), v.fresh.At(i, j), 1e-9)
			require.InDelta(t, last.At(i, j), v.last.At(i, j), 1e-9)
		}
	}
	require.NoError(t, v.judge(s))
	var all mat.Dense
	all.Mul(v.ind, v.ind.T())
	all.Add(&all, s)
	off := func(i int) (fits, z float64) { // of the others
		j, k := (i+1)%3, (i+2)%3
		var inv mat.Dense
		require.NoError(t, inv.Inverse(mat.NewDense(2, 2, []float64{all.At(j, j), all.At(j, k), all.At(k, j), all.At(k, k)})))
		c := mat.NewVecDense(2, []float64{all.At(i, j), all.At(i, k)})
		var g mat.VecDense
		g.MulVec(inv.T(), c)
		mean := mat.Dot(&g, mat.NewVecDense(2, []float64{v.r[j], v.r[k]}))
		return v.b.Observation[i].Y - (v.r[i] - mean), math.Abs(v.r[i]-mean) / math.Sqrt(all.At(i, i)-mat.Dot(&g, c))
	}
	for i := range 3 {
		_, z := off(i)
		require.InEpsilon(t, z, v.off(i), 1e-9)
	}
	var alpha mat.VecDense
	require.NoError(t, alpha.SolveVec(&all, mat.NewVecDense(3, v.r)))
	require.InEpsilon(t, mat.Dot(&alpha, mat.NewVecDense(3, v.r))/3, v.misfit, 1e-9)
	_, odd := v.oddest(nil, nil)
	require.False(t, odd)

	v.r = []float64{4, 900, 60}
	require.NoError(t, v.judge(s))
	fits, z := off(1)
	other, less := off(2)
	require.Greater(t, z, less)
	require.Greater(t, less, OddLimit)
	x, odd := v.oddest(nil, nil)
	require.True(t, odd)
	require.Equal(t, 1, x.Observation)
	require.InEpsilon(t, fits, x.fits, 1e-9)
	for _, y := range [][2]map[int]bool{{{1: true}, nil}, {nil, {1: true}}} { // set aside already, or to be kept
		x, odd = v.oddest(y[0], y[1])
		require.True(t, odd)
		require.Equal(t, 2, x.Observation)
		require.InEpsilon(t, other, x.fits, 1e-9)
	}
	// expected with the changes found: what is read, less what is left
	v.x = []float64{2, 3}
	require.InDelta(t, 199-900-4*2+2*3, v.expected(1), 1e-9)
}

// A step goes five usual changes at most, all in proportion, and after more than two from
// where it was linearised the model is linearised anew.
func TestStepsOfALinearFit(t *testing.T) {
	v := &linearFit{}
	v.step([]float64{4, -5})
	require.Equal(t, []float64{4, -5}, v.x)
	require.True(t, v.moved())
	v.step([]float64{4, 5})
	require.Equal(t, []float64{4, 0}, v.x)
	v = &linearFit{}
	v.step([]float64{12, -6})
	require.InDeltaSlice(t, []float64{5, -2.5}, v.x, 1e-12)
	v.bentTo = []float64{3.5, -0.6}
	require.False(t, v.moved())
	v.bentTo = []float64{3.5, -0.4}
	require.True(t, v.moved())
	require.False(t, (&linearFit{x: []float64{2, -2}}).moved())
	require.True(t, (&linearFit{x: []float64{0, -2.1}}).moved())
}

// Of a survey with a large change the model is linearised anew, until what it expects there
// is what the solved model has with the changes found.
func TestLargeChangesBendTheModel(t *testing.T) {
	r, k := taught(t)
	b := boundOf(t, r, kit.FanAt(0.8))
	l, err := k.newLinearisation(b)
	require.NoError(t, err)
	v := l.on(b)
	require.NoError(t, v.weigh(nil))
	fan := len(k.list) - 1
	require.Less(t, v.x[fan], 0.6*math.Log(0.8)/FanChange, "most of it, and far more than a step: each change is drawn to none")
	require.NotNil(t, v.bentTo)
	c, st := k.coefs(), r.M.NewState()
	for i, x := range k.list {
		x.apply(&c, v.x[i])
	}
	straight := 0.0
	for i, o := range b.Observation {
		require.NoError(t, st.Solve(&c, b.Configs[o.Cfg].Config))
		solved := st.Value(o.Probe)
		require.InDelta(t, solved, v.expected(i), 0.02*math.Abs(solved)+1, "reading %d", i)
		linear := l.h[i]
		for x, d := range l.ind.RawRowView(i) {
			linear += d * v.x[x]
		}
		straight = math.Max(straight, math.Abs(linear-solved)/math.Abs(solved))
	}
	require.Greater(t, straight, 0.05, "a straight line from the reference is far off")
}

// A value written far beyond what is expected erred as its instrument does where it stood.
func TestASlipErrsAsItsInstrumentDoesWhereItStood(t *testing.T) {
	v := lens(t)
	gauge := observe.Instrument{Id: "gauge", Measures: units.Pressure, OfReading: 0.01, Floor: 1}
	b := &observe.Bound{Survey: &readings.Survey{Readings: []readings.Reading{{Quantity: units.Suction}, {Quantity: units.Suction}, {Quantity: units.Suction}}}}
	for i, y := range []float64{299, -601, 59} {
		o := v.b.Observation[i]
		o.Reading, o.By = i, gauge
		b.Observation = append(b.Observation, o.Valued(y, units.Suction, 1.2))
	}
	got := v.l.on(b).b.Observation
	require.Equal(t, b.Observation[0].Sd, got[0].Sd, "three times as large as expected")
	require.Equal(t, b.Observation[2].Sd, got[2].Sd)
	require.Equal(t, b.Observation[1].Valued(200, units.Suction, 1.2).Sd, got[1].Sd)
	require.Equal(t, -601.0, got[1].Y)
	require.Equal(t, -601.0, b.Observation[1].Y)
}

// A reading set aside that was off to the same side in the survey before or after it, of
// the same point in the same setting, is no slip.
func TestWhatLastsIsKept(t *testing.T) {
	open := readings.Open{Gates: []string{"a"}}
	of := func(point string, y float64, aside bool, fits float64) (*observe.Bound, *indicatorFit) {
		b := &observe.Bound{Survey: &readings.Survey{Rows: []readings.Row{{Open: open, Point: "other"}, {Open: open, Point: point}}},
			Observation: []observe.Observation{{Rows: []int{0}}, {Y: y, Rows: []int{1}}}}
		g := &indicatorFit{}
		if aside {
			g.wrong = []setAsideRow{{Observation: 1, fits: fits}}
		}
		return b, g
	}
	type one struct {
		point string
		y     float64
		aside bool
	}
	for _, x := range []struct {
		surveys []one
		kept    []bool
	}{
		{[]one{{"M", 5, true}, {"M", 6, true}, {"M", 0, false}}, []bool{true, true, false}},
		{[]one{{"M", -5, true}, {"M", -6, true}, {"M", -6, true}}, []bool{true, true, true}},
		{[]one{{"M", 5, true}, {"M", -6, true}, {"M", 0, false}}, []bool{false, false, false}},
		{[]one{{"M", 5, true}, {"M", 0, false}, {"M", 5, true}}, []bool{false, false, false}},
		{[]one{{"M", 5, true}, {"N", 5, true}, {"M", 5, true}}, []bool{true, false, true}},
		{[]one{{"M", 0, false}, {"M", 5, true}}, []bool{false, false}},
	} {
		var all []*observe.Bound
		var gs []*indicatorFit
		for _, s := range x.surveys {
			b, g := of(s.point, s.y, s.aside, 0)
			all, gs = append(all, b), append(gs, g)
		}
		keep := make([]map[int]bool, len(all))
		require.Equal(t, x.kept, lasting(all, gs, keep), "%v", x.surveys)
		for i, k := range x.kept {
			require.Equal(t, k, keep[i][1], "%v", x.surveys)
			require.False(t, keep[i][0])
		}
	}
}

// One row of a reference survey that lies far off is set aside, and not much else; a
// third of them at most.
func TestTheReferenceSetsAsideWhatIsOdd(t *testing.T) {
	r := kit.NewRules(t)
	of := func(change map[int]float64) *fit.Fit {
		b, bad := observe.Bind(r.M, r.Survey(kit.Sound, kit.RuleTaps, change))
		require.NoError(t, bad.Err())
		u := asbuilt.NewUnknowns(r.M)
		l := fit.NewLayout(u, b)
		return fitRobust(fit.NewStudy(r.M, u, l, b, fit.Prior{Mean: make([]float64, l.N), Scale: 1}))
	}
	require.Empty(t, of(nil).Rows)
	f := of(map[int]float64{8: -150}) // the main's tap with all gates open
	require.Len(t, f.Rows, 1)
	require.Equal(t, 6, f.Rows[0].Observation)
	require.True(t, f.Rows[0].Drop)
	many := map[int]float64{}
	for row := 2; row < 42; row += 2 {
		many[row] = -10 * float64(row)
	}
	require.LessOrEqual(t, len(of(many).Rows), 40/3)
}

// The reference's filter is the mean of its surveys: of one loaded half as much again, and
// one as by the page, it is about a quarter.
func TestTheReferencesFilterIsTheMeanOfItsSurveys(t *testing.T) {
	r := kit.NewRules(t)
	at := func(loads ...float64) float64 {
		var all []*observe.Bound
		for _, k := range loads {
			all = append(all, boundOf(t, r, func(_ *kit.Rules, c *airflow.Coefs) { c.Filter *= k }))
		}
		k, err := newTracker(t.Context(), r.M, all, all)
		require.NoError(t, err)
		require.Equal(t, k.coefs().Filter, k.list[k.filter].base)
		return k.coefs().Filter
	}
	require.InDelta(t, 1, at(1, 1), 0.03)
	both := at(1.5, 1.5)
	require.InDelta(t, 1.5, both, 0.15)
	require.InDelta(t, math.Sqrt(both), at(1.5, 1), 0.12)
}
