package indicator

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/screen"
	"lostair/diagnose/internal/search"
	"lostair/diagnose/route"
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
func taught(t *testing.T) (*kit.Rules, *Tracker) {
	t.Helper()
	r := kit.NewRules(t)
	b := boundOf(t, r, kit.Sound)
	k, err := New(t.Context(), r.M, []*observe.Bound{b, b}, []*observe.Bound{b})
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
			var ids []string
			for _, d := range z {
				ids = append(ids, r.Sys.Ducts[d].ID)
			}
			out = append(out, strings.Join(ids, " "))
		}
		return out
	}
	zones := ZonesOf(r.M)
	require.Equal(t, []string{"main", "drop-a hose-a", "drop-b hose-b", "drop-c hose-c"}, names(zones))
	list := indicators(r.M, zones)
	var got []string
	for _, x := range list {
		got = append(got, fmt.Sprint(x.Kind, " ", x.Where, " ", x.Zone))
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
		require.InEpsilon(t, 0.015*bore(180), x.Unit, 1e-9)
		require.Equal(t, int32(up), x.spots[0].Slot.Ix, "its upper end")
		require.Equal(t, int32(r.M.Position(up).Parent), x.spots[1].Slot.Ix, "its lower end")
		require.Equal(t, shares, [2]float64{x.spots[0].Share, x.spots[1].Share})
	}
	require.InEpsilon(t, 0.015*bore(110), list[4].Unit, 1e-9)
	bin := list[slices.IndexFunc(list, func(x *Indicator) bool { return x.Where == "bin" })]
	require.InEpsilon(t, 0.015*r.M.Position(airflow.BinNode).Bore, bin.Unit, 1e-9)
	require.Equal(t, 1.0, bin.spots[0].Share)

	require.Equal(t, asbuilt.Spreads[airflow.FilterLoss].Own, filterSpread(r.M))
	r.Sys.Uncertainty.Filter = 0.3
	require.Equal(t, 0.3, filterSpread(r.M))
	require.Equal(t, "main, drop-a, hose-a", zoneName(r.M, []int{0, 1, 2}))
	require.Equal(t, "main and 3 more", zoneName(r.M, []int{0, 1, 2, 3}))

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
		amount := make([]float64, len(k.List))
		if i >= 0 {
			k.List[i].apply(&c, by)
			amount[i] = by
		}
		require.NoError(t, st.Solve(&c, cfg))
		return st.Value(probe), k.FlowsAt(k.List, amount)
	}
	_, rest := at(-1, 0)
	for p, q := range rest {
		require.InEpsilon(t, q, k.PortFlow[p], 1e-6)
	}
	for i, x := range k.List {
		c := k.coefs()
		require.NoError(t, st.Solve(&c, cfg))
		st.Prepare()
		st.Sensitivity(probe, g)
		slope := along(x.slopes(&c, 0), &g.Coefs)
		up, more := at(i, step)
		down, less := at(i, -step)
		require.InDelta(t, (up-down)/(2*step), slope, 1e-3*math.Abs(slope)+1e-2, "%s %s", x.Kind, x.Where)
		for p := range rest {
			want := (math.Log(more[p]) - math.Log(less[p])) / (2 * step)
			require.InDelta(t, want, k.portGrad[p][i], 1e-3*math.Abs(want)+1e-5, "%s %s at %d", x.Kind, x.Where, p)
		}
	}
}

// Amounts stop short of what can't be: a filter that adds pressure, a hood that does.
func TestAmountsKeepWithinReason(t *testing.T) {
	_, k := taught(t)
	for _, x := range k.List {
		c := k.coefs()
		before := c.Clone()
		x.apply(&c, -1000)
		switch x.Kind {
		case fault.FilterLoaded:
			require.GreaterOrEqual(t, c.Filter, 0.0)
			require.Less(t, c.Filter, 0.01*before.Filter)
		case fault.Blockage:
			require.GreaterOrEqual(t, *x.spots[0].Slot.Of(&c), 0.0)
			require.Less(t, *x.spots[0].Slot.Of(&c), 0.01**x.spots[0].Slot.Of(&before))
		case fault.FanWeak:
			require.Positive(t, c.Speed)
		}
	}
}

// What the reference leaves open of a port's flow: by the model's own spreads where
// nothing is taught, with the filter left out, and less once it is.
func TestHowFarAFlowIsKnown(t *testing.T) {
	r, k := taught(t)
	require.Len(t, k.PortSD, 3)
	known := slices.Clone(k.PortSD)
	k.shared = fit.Prior{Mean: make([]float64, k.l.N), Scale: 1}
	require.NoError(t, k.portsAtRest())
	st := r.M.NewState()
	flow := func(theta []float64) float64 {
		c := r.M.NewCoefs()
		k.u.Coefs(theta, &c, make([]float64, len(k.u.Parts)))
		c.Filter *= math.Exp(k.u.FilterDay() * k.filterAt)
		require.NoError(t, st.Solve(&c, route.Alone(r.M, 0)))
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
	require.InEpsilon(t, math.Sqrt(sum), k.PortSD[0], 1e-2)
	for p := range known {
		require.Less(t, known[p], 0.8*k.PortSD[p], "it has been taught")
		require.Positive(t, known[p])
	}
}

// fittedTo fits a survey's indicators, and gives the study and the fit of it.
func fittedTo(t *testing.T, k *Tracker, b *observe.Bound, rows ...int) (*fit.Study, *fit.Fit, *Fit) {
	t.Helper()
	s, err := k.forCharts(b)
	require.NoError(t, err)
	var h fit.Hypothesis
	for _, x := range k.List {
		h.Faults = append(h.Faults, x.change(false))
	}
	for _, i := range rows {
		h.Rows = append(h.Rows, search.Dropped(s, i))
	}
	f := s.Straight(h, s.Before())
	if floats.Norm(f.At.Z, math.Inf(1))*4 > 2 {
		f = s.FitFrom(h, s.Before(), fit.PatienceFar)
	}
	require.True(t, f.Ok())
	out := &Fit{B: b, List: k.List, Filter: k.filter}
	require.True(t, out.take(s, f, k.l.N))
	return s, f, out
}

// Surveys of the sound system are as the reference expects, and less is open than by the page.
func TestTheReferenceExpectsASoundSurvey(t *testing.T) {
	r, k := taught(t)
	b := boundOf(t, r, kit.Sound)
	s, err := k.forCharts(b)
	require.NoError(t, err)
	h := make([]float64, len(s.Observation))
	require.NoError(t, s.Predict(s.Before(), fit.Hypothesis{}, h))
	for i, o := range s.Observation {
		require.InDelta(t, o.Y, h[i], 3*o.Sd+0.01*math.Abs(o.Y), b.Survey.Readings[o.Reading].Point)
	}
	_, _, taught := fittedTo(t, k, b)
	var e mat.EigenSym
	require.True(t, e.Factorize(taught.Last, false))
	require.Greater(t, slices.Min(e.Values(nil)), -1e-6)
	for i, x := range taught.At {
		require.Less(t, math.Abs(x), 0.5, k.List[i].Where)
	}
	require.Less(t, taught.Misfit, 1.0)
	k.shared.V = nil
	_, _, page := fittedTo(t, k, b)
	for i := range k.List {
		require.Greater(t, taught.Info.At(i, i), page.Info.At(i, i), k.List[i].Where)
	}
}

// What a survey says of the indicators is generalised least squares: against the formulas
// for joint normals, with the covariances built from the derivatives; those of the
// reference where no change is large, else those where the changes end.
func TestWhatASurveySaysByTheNormalsFormulas(t *testing.T) {
	for _, x := range []struct {
		hurt  kit.Hurt
		large bool
	}{{kit.LeakIn("drop-a", 0, 2e-4), false}, {kit.FanAt(0.8), true}} {
		byFormulas(t, x.hurt, x.large)
	}
}

func byFormulas(t *testing.T, hurt kit.Hurt, large bool) {
	r, k := taught(t)
	k.shared.Scale = 1.5
	const dropped = 2
	s, f, got := fittedTo(t, k, boundOf(t, r, hurt), dropped)
	require.Equal(t, large, floats.Norm(got.At, math.Inf(1)) > 2)
	d := f.Fit
	m, n := d.Jz.Dims()
	covariance := func(from, to int, scale float64, but int) *mat.Dense { // of the readings by some parameters
		out := mat.NewDense(m, m, nil)
		for i := range m {
			for j := range m {
				var sum float64
				for x := from; x < to; x++ {
					if x != but {
						sum += scale * d.J.At(i, x) * d.J.At(j, x)
					}
				}
				out.Set(i, j, sum)
			}
		}
		return out
	}
	var jv, vv, sound, s1 mat.Dense
	jv.Mul(d.J, s.Pr.V)
	vv.Mul(&jv, jv.T())
	last := covariance(0, k.l.N, 1.5, -1)
	last.Sub(last, &vv)
	sound.Sub(covariance(0, s.N, 1.5, -1), &vv)
	fresh := covariance(k.l.N, s.N, 1, s.Day-2)
	for i := range m {
		o := &s.Observation[i]
		noise := o.Fresh*o.Fresh + 1e-6*o.Y*o.Y // a thousandth for the model
		if i == dropped {
			noise *= 1e10
		}
		sound.Set(i, i, sound.At(i, i)+noise)
		fresh.Set(i, i, fresh.At(i, i)+noise)
	}
	require.NoError(t, s1.Inverse(&sound))
	var jz, w, info, fr, la mat.Dense
	jz.Scale(0.25, d.Jz)
	w.Mul(jz.T(), &s1)
	info.Mul(&w, &jz)
	fr.Product(&w, fresh, w.T())
	la.Product(&w, last, w.T())
	var pull mat.VecDense
	pull.MulVec(&w, mat.NewVecDense(m, d.R))
	// the changes found are the mean of the joint normal, each with a usual change of 1
	left, at := mat.DenseCopyOf(&info), mat.NewVecDense(n, nil)
	for i := range n {
		left.Set(i, i, left.At(i, i)+1)
	}
	require.NoError(t, at.SolveVec(left, &pull))
	for i := range n {
		require.InDelta(t, pull.AtVec(i), got.Pull.AtVec(i), 1e-6*math.Abs(pull.AtVec(i))+1e-6)
		require.InDelta(t, at.AtVec(i), got.At[i], 0.06, k.List[i].Where)
		for j := range n {
			for _, x := range []struct{ want, got float64 }{{info.At(i, j), got.Info.At(i, j)}, {fr.At(i, j), got.Fresh.At(i, j)}, {la.At(i, j), got.Last.At(i, j)}} {
				require.InDelta(t, x.want, x.got, 1e-6*math.Abs(x.want)+1e-6)
			}
		}
	}
	// each reading is judged by what all others make of it
	all := mat.NewDense(m, m, nil)
	all.Mul(&jz, jz.T())
	all.Add(all, &sound)
	var alpha mat.VecDense
	require.NoError(t, alpha.SolveVec(all, mat.NewVecDense(m, d.R)))
	require.InEpsilon(t, mat.Dot(&alpha, mat.NewVecDense(m, d.R))/float64(m), got.Misfit, 1e-6)
	far, at1, fits := 0.0, -1, 0.0
	for i := range m {
		if i == dropped {
			continue
		}
		others, c, rest := mat.NewDense(m-1, m-1, nil), mat.NewVecDense(m-1, nil), mat.NewVecDense(m-1, nil)
		ix := func(x int) int {
			if x >= i {
				return x + 1
			}
			return x
		}
		for x := range m - 1 {
			c.SetVec(x, all.At(i, ix(x)))
			rest.SetVec(x, d.R[ix(x)])
			for y := range m - 1 {
				others.Set(x, y, all.At(ix(x), ix(y)))
			}
		}
		var g mat.VecDense
		require.NoError(t, g.SolveVec(others, c))
		off := d.R[i] - mat.Dot(&g, rest)
		if z := math.Abs(off) / math.Sqrt(all.At(i, i)-mat.Dot(&g, c)); z > far {
			far, at1, fits = z, i, s.Observation[i].Y-off
		}
	}
	odd, instead, z := screen.Oddest(s, f, nil)
	require.Equal(t, at1, odd)
	require.InEpsilon(t, far, z, 1e-4)
	require.InEpsilon(t, fits, instead, 1e-4)
	next, _, less := screen.Oddest(s, f, map[int]bool{at1: true})
	require.NotEqual(t, at1, next, "it is to be kept")
	require.Less(t, less, z)
}

// A change many usual ones large is found on the bent model: the flows are those of the
// system with it, though each change is drawn to none.
func TestLargeChangesBendTheModel(t *testing.T) {
	r, k := taught(t)
	got, err := k.fitIndicators(boundOf(t, r, kit.FanAt(0.8)), nil)
	require.NoError(t, err)
	require.Empty(t, got.Wrong)
	fan := len(k.List) - 1
	require.Less(t, got.At[fan], 0.6*math.Log(0.8)/FanChange, "most of it, and far more than a step")
	for p, c := range got.Ports {
		require.InDelta(t, math.Log(0.8), c.Value, 0.04, "port %d", p)
	}
}

// A value written far beyond what is expected erred as its instrument does where it stood.
func TestASlipErrsAsItsInstrumentDoesWhereItStood(t *testing.T) {
	r, k := taught(t)
	b := boundOf(t, r, kit.Sound)
	plain := k.study(b)
	h := make([]float64, len(plain.Observation))
	require.NoError(t, plain.Predict(plain.Before(), fit.Hypothesis{}, h))
	for i, by := range []float64{3.1, 2.9, -3.1} {
		o := &b.Observation[i]
		*o = o.Valued(by*h[i], b.Survey.Readings[o.Reading].Quantity, r.M.Air.Density)
	}
	written := k.study(b).Observation
	s, err := k.forCharts(b)
	require.NoError(t, err)
	for i, slip := range []bool{true, false, true} {
		o := s.Observation[i]
		require.Equal(t, written[i].Y, o.Y)
		want := written[i]
		if slip {
			want = want.Valued(h[i], b.Survey.Readings[o.Reading].Quantity, r.M.Air.Density)
		}
		require.Equal(t, want.Sd, o.Sd)
		require.Equal(t, want.Gain, o.Gain)
		require.Equal(t, slip, o.Sd < 0.5*written[i].Sd)
	}
}

// A reading set aside that was off to the same side in the survey before or after it, of
// the same point in the same setting, is no slip.
func TestWhatLastsIsKept(t *testing.T) {
	open := readings.Open{Gates: []string{"a"}}
	of := func(point string, y float64, aside bool, fits float64) (*observe.Bound, *Fit) {
		b := &observe.Bound{Survey: &readings.Survey{Rows: []readings.Row{{Open: open, Point: "other"}, {Open: open, Point: point}}},
			Observation: []observe.Observation{{Rows: []int{0}}, {Y: y, Rows: []int{1}}}}
		g := &Fit{}
		if aside {
			g.Wrong = []SetAside{{Observation: 1, Fits: fits}}
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
		var gs []*Fit
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
		k, err := New(t.Context(), r.M, all, all)
		require.NoError(t, err)
		return k.coefs().Filter
	}
	require.InDelta(t, 1, at(1, 1), 0.03)
	both := at(1.5, 1.5)
	require.InDelta(t, 1.5, both, 0.15)
	require.InDelta(t, math.Sqrt(both), at(1.5, 1), 0.12)
}
