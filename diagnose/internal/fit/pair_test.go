package fit_test

import (
	"math"
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
	"lostair/diagnose/internal/screen"
	"lostair/diagnose/internal/search"
	"lostair/readings"
	"lostair/readings/units"
)

// taught is the rules' shop with rough hoses, a survey while its fan was slow and one
// after, and what a baseline from before taught.
type taught struct {
	r      *kit.Rules
	u      *asbuilt.Unknowns
	l      fit.Layout
	before fit.Prior
	s      [2]*fit.Study
}

func newTaught(t *testing.T, change map[int]float64) *taught {
	t.Helper()
	r := kit.RulesOf(t, strings.Replace(kit.RuleShop, "of_reading: 1%, floor: 3 Pa", "of_reading: 4%, floor: 3 Pa", 1))
	rough := func(speed float64) kit.Hurt {
		return func(r *kit.Rules, c *airflow.Coefs) {
			for _, x := range r.M.DuctSegments(r.Duct("hose-a")) {
				c.Friction[x] *= 1.3
			}
			c.Speed = speed
		}
	}
	bind := func(sv *readings.Survey) *observe.Bound {
		b, bad := observe.Bind(r.M, sv)
		require.NoError(t, bad.Err())
		return b
	}
	points := []string{"A1", "A2", "B1", "C1", "M", airflow.CollectorInlet}
	base := bind(r.SurveyIn([]string{"all", "a"}, rough(1), points, nil))
	x := [2]*observe.Bound{bind(r.SurveyIn([]string{"all", "a"}, rough(0.85), points, nil)), bind(r.SurveyIn([]string{"all", "b"}, rough(1), points, change))}
	out := &taught{r: r, u: asbuilt.NewUnknowns(r.M)}
	out.l = fit.NewLayout(out.u, base, x[0], x[1])
	var err error
	out.before, err = search.Learn(t.Context(), r.M, out.u, out.l, base, fit.Prior{Mean: make([]float64, out.l.N), Scale: 1})
	require.NoError(t, err)
	require.NotNil(t, out.before.V)
	out.before.Scale = 1.1 // it lies further off its page than usual
	for k := range x {
		out.s[k] = fit.NewStudy(r.M, out.u, out.l, x[k], out.before)
	}
	return out
}

func (x *taught) fan(t *testing.T) *fault.Variant {
	for _, s := range fault.Sites(x.r.M) {
		if s.Kind == fault.FanWeak {
			return s.Variants[0]
		}
	}
	require.Fail(t, "no fan")
	return nil
}

// covariance is k² (scale I − V Vᵀ), of n parameters of which V knows the first.
func covariance(pr fit.Prior, n int, k float64) *mat.SymDense {
	rows, cols := pr.V.Dims()
	out := mat.NewSymDense(n, nil)
	for i := range n {
		out.SetSym(i, i, k*k*pr.Scale)
	}
	for i := range rows {
		for j := i; j < rows; j++ {
			v := 0.0
			for c := range cols {
				v += pr.V.At(i, c) * pr.V.At(j, c)
			}
			out.SetSym(i, j, out.At(i, j)-k*k*v)
		}
	}
	return out
}

func inverse(t *testing.T, a *mat.SymDense) (*mat.SymDense, float64) {
	t.Helper()
	var c mat.Cholesky
	require.True(t, c.Factorize(a))
	var out mat.SymDense
	require.NoError(t, c.InverseTo(&out))
	return &out, c.LogDet()
}

// Two surveys fitted as one, some of whose rows are set aside, left out or read otherwise,
// against plain linear algebra in the space of parameters: the evidence, the way to the
// most probable point, and what is left of the variances. H = C⁻¹ + Aᵀ R⁻¹ A over the
// rows that are believed, log det S = log det R + log det C + log det H.
func TestPairAgreesWithParameterSpace(t *testing.T) {
	x := newTaught(t, nil)
	p := fit.NewPair(x.s[0], x.s[1], x.before)
	p.PriorScale, p.NoiseScale = 1.3, 1.2
	slip := x.s[1].Observation[4]
	rows := []*fit.Wrong{{Observation: 1, Drop: true, Cfg: -1, Log: -2}, {Observation: 4, Y: 1.02 * slip.Y, Gain: slip.Gain, Fresh: 1.5 * slip.Fresh, Cfg: -1, Log: -1}}
	faults := []*fault.Variant{x.fan(t).In(fault.Before)}
	aside := &fit.Wrong{Observation: 2, Drop: true, Cfg: -1}
	f := p.Fit(fit.Hypothesis{Faults: faults, Rows: append(p.Rows(1, rows), aside)}, p.Before())
	require.True(t, f.Ok() && f.Settled())
	require.InDelta(t, 0.85, faults[0].Severity(f.At.Z[0]), 0.02)

	m0, m := len(x.s[0].Observation), len(p.Observation)
	require.Equal(t, m0+len(x.s[1].Observation), m)
	require.Equal(t, x.s[0].N+x.s[1].N-x.l.N, p.N)
	n, sp := p.N+1, faults[0].Usual()
	C, shared := mat.NewSymDense(n, nil), covariance(x.before, p.N, 1.3)
	for i := range p.N {
		for j := i; j < p.N; j++ {
			C.SetSym(i, j, shared.At(i, j))
		}
	}
	C.SetSym(n-1, n-1, sp.Sd*sp.Sd)
	H, logC := inverse(t, C)
	g, rr, logR, believed := mat.NewVecDense(n, nil), 0.0, 0.0, 0
	for i := range m {
		k, o := 0, i
		if i >= m0 {
			k, o = 1, i-m0
		}
		if k == 0 && o == 2 || k == 1 && o == 1 {
			continue // nothing is believed of it
		}
		y, noise := x.s[k].Observation[o].Y, x.s[k].BaseNoise(o)
		if k == 1 && o == 4 {
			y, noise = rows[1].Y, rows[1].Noise()
		}
		noise *= 1.2 * 1.2
		a := mat.NewVecDense(n, append(mat.Row(nil, i, f.Fit.J), f.Fit.Jz.At(i, 0)))
		r := y - f.Fit.H[i] + a.AtVec(n-1)*(f.At.Z[0]-sp.Mean)
		for c := range p.N {
			r += a.AtVec(c) * (f.At.Theta[c] - meanOf(x.before, c))
		}
		H.SymRankOne(H, 1/noise, a)
		g.AddScaledVec(g, r/noise, a)
		rr, logR, believed = rr+r*r/noise, logR+math.Log(noise), believed+1
	}
	left, logH := inverse(t, H)
	var best mat.VecDense
	best.MulVec(left, g)
	want := -0.5*(rr-mat.Dot(g, &best)) - 0.5*(logR+logC+logH) - 0.5*float64(believed)*math.Log(2*math.Pi) - 3
	require.InDelta(t, want, f.Evidence, 1e-3)
	for c := range p.N {
		require.InDelta(t, best.AtVec(c), f.At.Theta[c]-meanOf(x.before, c), 0.05, "parameter %d is at the most probable point", c)
	}
	require.InDelta(t, best.AtVec(n-1), f.At.Z[0]-sp.Mean, 0.05*sp.Sd)

	_, sd := p.SeverityAt(f, 0, 0)
	require.InEpsilon(t, math.Sqrt(left.At(n-1, n-1)), sd, 1e-4)
	for _, c := range []int{0, x.l.N - 1, x.l.N, x.s[0].N - 1, x.s[0].N, p.N - 1} {
		by := make([]float64, p.N)
		by[c] = 2
		require.InEpsilon(t, 4*left.At(c, c)+9*left.At(n-1, n-1)+12*left.At(c, n-1), p.Variance(f, by, []float64{3}), 1e-4, "parameter %d", c)
	}
}

func meanOf(pr fit.Prior, x int) float64 {
	if x < len(pr.Mean) {
		return pr.Mean[x]
	}
	return 0
}

// A pair's slopes against differences: what both surveys have moves the readings of both,
// what is one's own those of one, and a fault those of when it is there.
func TestPairSlopes(t *testing.T) {
	x := newTaught(t, nil)
	p := fit.NewPair(x.s[0], x.s[1], x.before)
	for _, when := range fault.Moments {
		h := fit.Hypothesis{Faults: []*fault.Variant{x.fan(t).In(when)}}
		f := p.FitFrom(h, p.Before(), fit.PatienceFar)
		m := len(p.Observation)
		j, jz := mat.NewDense(m, p.N, nil), mat.NewDense(m, 1, nil)
		require.NoError(t, p.Predict(f.At, h, make([]float64, m)))
		p.Jacobian(f.At, h, j, jz)
		read := func(change func(*fit.Point)) []float64 {
			at := f.At.Clone()
			change(&at)
			out := make([]float64, m)
			require.NoError(t, p.Predict(at, h, out))
			return out
		}
		const e = 1e-4
		moved := [2]bool{}
		for c := range p.N {
			up, down := read(func(at *fit.Point) { at.Theta[c] += e }), read(func(at *fit.Point) { at.Theta[c] -= e })
			for i := range up {
				want := (up[i] - down[i]) / (2 * e)
				// A tap's error goes with the velocity pressure, whose slope is left out.
				require.InDelta(t, want, j.At(i, c), 0.01*math.Abs(want)+3e-4*math.Abs(up[i])+0.01, "reading %d, parameter %d", i, c)
			}
		}
		up, down := read(func(at *fit.Point) { at.Z[0] += e }), read(func(at *fit.Point) { at.Z[0] -= e })
		for i := range up {
			want := (up[i] - down[i]) / (2 * e)
			require.InDelta(t, want, jz.At(i, 0), 0.01*(1+math.Abs(want)), "reading %d", i)
			if math.Abs(want) > 1 {
				moved[min(i/p.Row(1), 1)] = true
			}
		}
		require.Equal(t, [2]bool{when != fault.After, when != fault.Before}, moved)
	}
}

// The oddest reading is the one furthest from what all others make of it, in standard
// deviations of that difference: by hand, of normal variables with covariance S, reading n
// is expected at S_no S_oo⁻¹ r_o with variance S_nn − S_no S_oo⁻¹ S_on.
func TestPairsOddestReading(t *testing.T) {
	x := newTaught(t, map[int]float64{5: -700}) // C1 with all gates open, after
	p := fit.NewPair(x.s[0], x.s[1], x.before)
	h := fit.Hypothesis{Faults: []*fault.Variant{x.fan(t).In(fault.Before)}}
	f := p.Fit(h, p.Before())
	require.True(t, f.Ok())
	i, fits, far := screen.Oddest(p.Study, f, nil)
	k, own := p.Of(i)
	require.Equal(t, []int{1, 3, p.Row(1) + 3}, []int{k, own, i})

	m, sp := len(p.Observation), f.Faults[0].Usual()
	var S, jc mat.Dense
	jc.Mul(f.Fit.J, covariance(x.before, p.N, 1))
	S.Mul(&jc, f.Fit.J.T())
	for a := range m {
		for b := range m {
			S.Set(a, b, S.At(a, b)+sp.Sd*sp.Sd*f.Fit.Jz.At(a, 0)*f.Fit.Jz.At(b, 0))
		}
		S.Set(a, a, S.At(a, a)+f.Fit.Noise[a])
	}
	at := p.Row(1) + 3
	so, ro, sn := mat.NewSymDense(m-1, nil), mat.NewVecDense(m-1, nil), mat.NewVecDense(m-1, nil)
	skip := func(a int) int {
		if a >= at {
			return a + 1
		}
		return a
	}
	for a := range m - 1 {
		for b := a; b < m-1; b++ {
			so.SetSym(a, b, S.At(skip(a), skip(b)))
		}
		ro.SetVec(a, f.Fit.R[skip(a)])
		sn.SetVec(a, S.At(skip(a), at))
	}
	inv, _ := inverse(t, so)
	var w mat.VecDense
	w.MulVec(inv, sn)
	require.InEpsilon(t, math.Abs(f.Fit.R[at]-mat.Dot(&w, ro))/math.Sqrt(S.At(at, at)-mat.Dot(&w, sn)), far, 1e-3)
	require.Greater(t, far, 4.0)

	require.InEpsilon(t, f.Fit.Y[at]-(f.Fit.R[at]-mat.Dot(&w, ro)), fits, 1e-3)

	h.Rows = []*fit.Wrong{{Observation: at, Drop: true, Cfg: -1}}
	f = p.Fit(h, p.Before())
	i, _, far = screen.Oddest(p.Study, f, nil)
	require.NotEqual(t, at, i, "of it nothing is believed")
	require.Less(t, far, 3.0)
	require.InEpsilon(t, x.r.Read(kit.Sound, "all", "C1"), f.Fit.H[at], 0.05)
}

// What a survey teaches by Bayes' rule: mean where the fit ends, and of the covariance
// what is left of (C⁻¹ + Jᵀ R⁻¹ J)⁻¹, C being what an earlier one left.
func TestPriorAfterIsThePosterior(t *testing.T) {
	x := newTaught(t, nil)
	s := x.s[1]
	s.PriorScale = 1.3
	f := s.Fit(fit.Hypothesis{}, fit.Point{Theta: s.Pr.Mean})
	require.True(t, f.Ok())
	after, err := s.PriorAfter(f, x.l, x.before)
	require.NoError(t, err)
	require.Equal(t, f.At.Theta[:x.l.N], after.Mean)
	H, _ := inverse(t, covariance(x.before, s.N, 1.3))
	for i := range s.Observation {
		H.SymRankOne(H, 1/s.BaseNoise(i), mat.NewVecDense(s.N, mat.Row(nil, i, f.Fit.J)))
	}
	left, _ := inverse(t, H)
	got := covariance(after, x.l.N, 1)
	for i := range x.l.N {
		for j := range x.l.N {
			require.InDelta(t, left.At(i, j), got.At(i, j), 1e-4, "%d, %d", i, j)
		}
	}
}

// What a row should have shown is the true value with the instrument's lasting error at
// that value: a gauge that is off by θ times its share reads (1 + θ share) of it.
func TestWouldTakesTheErrorOfTheRightValue(t *testing.T) {
	x := newTaught(t, map[int]float64{5: -700})
	s := x.s[1]
	f := s.Fit(fit.Hypothesis{}, fit.Point{Theta: s.Pr.Mean})
	require.True(t, f.Ok())
	f.At.Theta[s.Observation[3].GainIx] = 0.8
	const share = 0.04 / 1.959964 / math.Sqrt2
	truth := -500.0
	y, sd := s.Would(f, 3, truth-0.8*share*700)
	require.InEpsilon(t, truth*(1+0.8*share), y, 1e-6)
	require.Greater(t, sd, share*500.0)
	twice := *s
	twice.NoiseScale = 3
	_, more := twice.Would(f, 3, truth-0.8*share*700)
	require.InEpsilon(t, (9-1)*share*share*500*500*(1+0.8*share)*(1+0.8*share), more*more-sd*sd, 0.01, "fresh errors three times as large")
}

// How far published laws of a fault differ widens what is said of its severity.
func TestSeverityIsNoSurerThanItsLaw(t *testing.T) {
	x := newTaught(t, nil)
	s := x.s[0]
	for _, site := range fault.Sites(x.r.M) {
		if site.Kind != fault.GateRestricted && site.Kind != fault.FanWeak {
			continue
		}
		v := site.Variants[0]
		f := s.Fit(fit.Hypothesis{Faults: []*fault.Variant{v}}, fit.Point{Theta: s.Pr.Mean})
		require.True(t, f.Ok())
		z, sd := s.SeverityAt(f, 0)
		require.InEpsilon(t, s.Variance(f, make([]float64, s.N), []float64{1})+fault.LawVariance(v.Kind, z), sd*sd, 1e-9)
		require.Equal(t, v.Kind == fault.GateRestricted, fault.LawVariance(v.Kind, z) > 0)
	}
}

// The variance of a quantity before anything is read is that by the covariance: gᵀ C g.
func TestVariancesAreByTheCovariance(t *testing.T) {
	x := newTaught(t, nil)
	s := x.s[0]
	s.PriorScale = 1.3
	f := s.Fit(fit.Hypothesis{}, fit.Point{Theta: s.Pr.Mean})
	require.True(t, f.Ok())
	C := covariance(x.before, s.N, 1.3)
	for i, got := range s.Variances(f.Fit.J) {
		g := mat.NewVecDense(s.N, mat.Row(nil, i, f.Fit.J))
		require.InEpsilon(t, mat.Inner(g, C, g), got, 1e-9)
		require.InEpsilon(t, mat.Dot(g, s.Cov(g)), got, 1e-9)
	}
}

// Derivatives that are taken over from another fit are those worked out afresh, by
// severities too, on a day of other air.
func TestDerivativesTakenOverAreThose(t *testing.T) {
	x := newTaught(t, nil)
	s := x.s[0]
	h := fit.Hypothesis{Faults: []*fault.Variant{x.fan(t)}}
	start := s.Before()
	start.Theta[s.Day] = 2
	first := s.FitFrom(h, start, fit.PatienceFar)
	require.True(t, first.Ok())
	require.NotNil(t, s.Ref)
	again := s.FitFrom(h, first.At, fit.PatienceFar)
	require.True(t, again.Ok())
	require.InDelta(t, first.Evidence, again.Evidence, 0.01)
	m := len(s.Observation)
	j, jz := mat.NewDense(m, s.N, nil), mat.NewDense(m, 1, nil)
	require.NoError(t, s.Predict(again.At, h, make([]float64, m)))
	s.Jacobian(again.At, h, j, jz)
	require.True(t, mat.EqualApprox(jz, again.Fit.Jz, 1e-6))
	for i := range m {
		for c := range s.N {
			require.InDelta(t, j.At(i, c), again.Fit.J.At(i, c), 0.01*(1+math.Abs(j.At(i, c))))
		}
	}
}

// A study that may do so many solves begins no further fit beyond them.
func TestWorkIsBounded(t *testing.T) {
	x := newTaught(t, nil)
	s := x.s[0]
	out := make([]float64, len(s.Observation))
	require.NoError(t, s.Predict(s.Before(), fit.Hypothesis{}, out)) // two settings: two solves
	require.False(t, s.Spent(), "without a bound")
	for most, spent := range map[int]bool{1: true, 2: false, 3: false} {
		s.Most = most
		require.Equal(t, spent, s.Spent(), most)
	}
	s.Rested()
	s.Most = 1
	require.False(t, s.Spent())
}

// What is said of a flow goes with all that the readings leave open: its standard deviation
// is that by the derivatives, worked out by small steps, of parameters and severity together.
func TestAFlowIsKnownAsWellAsItsDerivativesSay(t *testing.T) {
	x := newTaught(t, nil)
	s := x.s[0]
	f := s.Fit(fit.Hypothesis{Faults: []*fault.Variant{x.fan(t)}}, s.Before())
	require.True(t, f.Ok())
	probe, err := x.r.M.ProbeAt("port-a", units.FlowRate)
	require.NoError(t, err)
	cfg, err := x.r.M.Configure(true, nil, nil)
	require.NoError(t, err)
	st := x.r.M.NewState()
	flow := func(p fit.Point, faults []*fault.Variant) float64 {
		s.SetCoefs(p, faults)
		require.NoError(t, st.Solve(&s.Coef, cfg))
		return st.Value(probe)
	}
	const step = 1e-3
	slopes := func(faults []*fault.Variant) (row, gz []float64) {
		for i := range s.N {
			up, down := f.At.Clone(), f.At.Clone()
			up.Theta[i], down.Theta[i] = up.Theta[i]+step, down.Theta[i]-step
			row = append(row, (flow(up, faults)-flow(down, faults))/(2*step))
		}
		up, down := f.At.Clone(), f.At.Clone()
		up.Z[0], down.Z[0] = up.Z[0]+step, down.Z[0]-step
		return row, []float64{(flow(up, faults) - flow(down, faults)) / (2 * step)}
	}
	for _, without := range []bool{false, true} {
		faults := f.Faults
		if without {
			faults = nil
		}
		row, gz := slopes(faults)
		e := s.Estimates(x.r.M.NewState(), f, cfg, []airflow.Probe{probe}, without, nil)
		require.InEpsilon(t, math.Sqrt(s.Variance(f, row, gz)), e[0].Sd, 1e-3)
		require.InEpsilon(t, flow(f.At, faults), e[0].Mean, 1e-6)
		at := s.At(f, without)
		require.Equal(t, e[0].Mean, s.MeanAt(at, s.Solved(at, cfg), probe, nil))
	}
}

// What can't come near the best, by far, is given up on the way; what can is fitted on.
func TestAFitThatCannotComeNearIsGivenUp(t *testing.T) {
	x := newTaught(t, nil)
	s := x.s[0]
	with := fit.Hypothesis{Faults: []*fault.Variant{x.fan(t)}}
	best := s.Fit(with, s.Before())
	require.True(t, best.Ok())
	s.Ref = nil
	require.True(t, s.FitFrom(with, s.Before(), fit.PatienceFar, fit.Settings{Floor: best.Evidence - 1}).Ok())
	s.Ref = nil
	f := s.FitFrom(with, s.Before(), 0, fit.Settings{Floor: best.Evidence + 1e6})
	require.True(t, f.GivenUp())
	require.False(t, f.Ok())
	// a sound system, which the readings of a slow fan rule out
	s.Ref = nil
	f = s.FitFrom(fit.Hypothesis{}, s.Before(), 1, fit.Settings{Floor: best.Evidence})
	require.True(t, f.GivenUp())
	s.Stop = func() bool { return true }
	require.False(t, s.FitFrom(with, s.Before(), 1).Ok(), "nobody waits for it")
}

// Derivatives that were taken at one point are not those of another: worked out from there
// or from nothing, a linearisation says the same.
func TestDerivativesAreThoseOfThePoint(t *testing.T) {
	for _, move := range []float64{1e-9, 0.02, 1.5} {
		a, b := newTaught(t, nil).s[0], newTaught(t, nil).s[0]
		require.True(t, a.Linearised(fit.Hypothesis{}, a.Before()).Ok())
		require.NotNil(t, a.Ref)
		at := a.Before()
		for i := range at.Theta {
			at.Theta[i] += move * math.Sin(float64(i))
		}
		f, g := a.Linearised(fit.Hypothesis{}, at), b.Linearised(fit.Hypothesis{}, at)
		require.InDelta(t, g.Evidence, f.Evidence, 1e-3)
		for i := range a.Observation {
			off := 0.0
			for c := range a.N {
				d := g.Fit.J.At(i, c) - f.Fit.J.At(i, c)
				off += d * d
			}
			require.Less(t, math.Sqrt(off), 0.001*math.Sqrt(a.BaseNoise(i)), "reading %d", i)
		}
	}
}
