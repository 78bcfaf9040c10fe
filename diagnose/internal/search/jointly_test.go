package search_test

import (
	"math"
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
)

// twoSurveys are a baseline of the rules' shop, sound, and a survey of it as h left it.
type twoSurveys struct {
	u      *asbuilt.Unknowns
	l      fit.Layout
	a, b   *observe.Bound
	before fit.Prior
	last   *search.BaselineFit
	taught fit.Prior
}

func bothSurveys(t *testing.T, r *kit.Rules, h kit.Hurt) *twoSurveys {
	a, bad := observe.Bind(r.M, r.Survey(kit.Sound, kit.RuleTaps, nil))
	b, more := observe.Bind(r.M, r.Survey(h, kit.RuleTaps, nil))
	require.NoError(t, append(bad, more...).Err())
	x := &twoSurveys{u: asbuilt.NewUnknowns(r.M), a: a, b: b}
	x.l = fit.NewLayout(x.u, b, a)
	x.before = fit.Prior{Mean: make([]float64, x.l.N), Scale: 1}
	var err error
	x.taught, x.last, err = search.LearnFrom(t.Context(), r.M, x.u, x.l, a, x.before)
	require.NoError(t, err)
	return x
}

// soundBothWays is the evidence of a survey if the system is sound: by what the
// baseline taught, and by both at once.
func soundBothWays(t *testing.T, h kit.Hurt) (taught, both float64) {
	r := kit.NewRules(t)
	x := bothSurveys(t, r, h)
	s := fit.NewStudy(r.M, x.u, x.l, x.b, x.taught)
	g := search.NewSearch(s, nil, nil)
	g.Joint = search.NewJoint(r.M, x.u, x.l, x.b, x.last, x.before)
	require.NotNil(t, g.Joint)
	g.Scaled(search.Scale{Spread: 1, Fresh: 1, Prior: 0})
	f := s.Fit(fit.Hypothesis{}, fit.Point{Theta: s.Pr.Mean})
	require.True(t, f.Ok())
	taught = f.Evidence
	f.Key, g.Sound, g.All = "", f, []*fit.Fit{f}
	g.Together()
	require.NotNil(t, f.Both)
	require.True(t, f.Both.Settled())
	return taught, f.Evidence
}

// leaky makes every seam and joint so many times as leaky.
func leaky(by float64) kit.Hurt {
	return func(_ *kit.Rules, c *airflow.Coefs) {
		for i := range c.Seep {
			c.Seep[i] *= by
		}
	}
}

// Where nothing changed, what a baseline teaches is as good as the baseline
// itself. Where all seams leak far more than it allowed, a mean and a covariance
// let a sound system pass that the baseline rules out.
func TestABaselineIsMoreThanAMeanAndACovariance(t *testing.T) {
	taught, both := soundBothWays(t, kit.Sound)
	require.InDelta(t, taught, both, 0.5)
	taught, both = soundBothWays(t, leaky(4))
	require.Less(t, both, taught-1)
}

// The mode and the evidence of a pair, which it works out in the space of
// readings, against plain sums over both surveys and linear algebra in the space
// of parameters.
func TestAPairAgreesWithParameterSpace(t *testing.T) {
	for _, kappa := range []float64{1, 2} { // whatever the factor on the spread
		pairInParameterSpace(t, kappa)
	}
}

func pairInParameterSpace(t *testing.T, kappa float64) {
	r := kit.NewRules(t)
	x := bothSurveys(t, r, kit.FanAt(0.85))
	p := fit.NewPair(fit.NewStudy(r.M, x.u, x.l, x.a, x.before), fit.NewStudy(r.M, x.u, x.l, x.b, x.before), x.before)
	p.PriorScale = kappa
	var slow *fault.Variant
	for _, s := range fault.Sites(r.M) {
		if s.Kind == fault.FanWeak {
			slow = s.Variants[0]
		}
	}
	h := fit.Hypothesis{Faults: []*fault.Variant{slow.In(fault.After)}}
	f := p.Fit(h, p.Before())
	require.True(t, f.Ok() && f.Settled())
	sp := fault.Severities[fault.FanWeak]
	badness := func(at fit.Point) float64 {
		out := make([]float64, len(p.Observation))
		require.NoError(t, p.Predict(at, h, out))
		sum := math.Pow((at.Z[0]-sp.Mean)/sp.Sd, 2)
		for _, v := range at.Theta {
			sum += v * v / (kappa * kappa)
		}
		for i, v := range out {
			sum += (f.Fit.Y[i] - v) * (f.Fit.Y[i] - v) / f.Fit.Noise[i]
		}
		return sum
	}
	best := badness(f.At)
	require.InDelta(t, best/2, fit.OneFit{S: p.Study, F: f, D: f.Fit}.Cost(), 1e-6*best)
	for i := range f.At.Theta {
		for _, step := range []float64{-0.3, 0.3} {
			at := f.At.Clone()
			at.Theta[i] += step
			require.Greater(t, badness(at), best-1e-3, "parameter %d by %v", i, step)
		}
	}

	// from elsewhere it goes on until it is there again
	near := f.At.Clone()
	for i := range near.Theta {
		near.Theta[i] += 0.2 * math.Sin(float64(1+i))
	}
	near.Dual = nil
	again := p.FitFrom(h, near, fit.PatienceFar)
	require.True(t, again.Settled())
	require.InDelta(t, fit.OneFit{S: p.Study, F: f, D: f.Fit}.Cost(), fit.OneFit{S: p.Study, F: again, D: again.Fit}.Cost(), 0.05)

	// log N(r; 0, R + J Jᵀ + …) = −½(rᵀR⁻¹r − gᵀH⁻¹g) − ½ log(|R| |C| |H|) …
	m, n := len(p.Observation), p.N+1
	H, g := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
	var rr, det float64
	for i := range m {
		row := mat.NewVecDense(n, append(mat.Row(nil, i, f.Fit.J), f.Fit.Jz.At(i, 0)))
		H.SymRankOne(H, 1/f.Fit.Noise[i], row)
		g.AddScaledVec(g, f.Fit.R[i]/f.Fit.Noise[i], row)
		rr += f.Fit.R[i] * f.Fit.R[i] / f.Fit.Noise[i]
		det += math.Log(f.Fit.Noise[i])
	}
	for k := range p.N {
		H.SetSym(k, k, H.At(k, k)+1/(kappa*kappa))
		det += 2 * math.Log(kappa)
	}
	H.SetSym(p.N, p.N, H.At(p.N, p.N)+1/(sp.Sd*sp.Sd))
	var chol mat.Cholesky
	require.True(t, chol.Factorize(H))
	var hg mat.VecDense
	require.NoError(t, chol.SolveVecTo(&hg, g))
	want := -0.5*(rr-mat.Dot(g, &hg)) - 0.5*(det+2*math.Log(sp.Sd)+chol.LogDet()) - 0.5*float64(m)*math.Log(2*math.Pi)
	require.InDelta(t, want, f.Evidence, 1e-4*math.Abs(want))
}

// A row of which nothing is believed counts for nothing, in one survey or in both.
func TestARowSetAsideCountsForNothing(t *testing.T) {
	r := kit.NewRules(t)
	x := bothSurveys(t, r, kit.Sound)
	evidence := func(change float64) float64 {
		p := fit.NewPair(fit.NewStudy(r.M, x.u, x.l, x.a, x.before), fit.NewStudy(r.M, x.u, x.l, x.b, x.before), x.before)
		dropped := []*fit.Wrong{{Observation: 3, Drop: true, Cfg: -1}, {Observation: p.Row(1) + 5, Drop: true, Cfg: -1}}
		for _, w := range dropped {
			p.Observation[w.Observation].Y += change
		}
		f := p.Fit(fit.Hypothesis{Rows: dropped}, p.Before())
		require.True(t, f.Ok())
		return f.Evidence
	}
	require.InDelta(t, evidence(0), evidence(500), 0.01)
}

// Under other factors survey and baseline are weighed as they were fitted: what
// the baseline taught is of the same factor, not of its square.
func TestAJointUnderOtherFactors(t *testing.T) {
	r := kit.NewRules(t)
	x := bothSurveys(t, r, kit.Sound)
	s := fit.NewStudy(r.M, x.u, x.l, x.b, x.taught)
	g := search.NewSearch(s, nil, nil)
	g.Joint = search.NewJoint(r.M, x.u, x.l, x.b, x.last, x.before)
	k := search.Scales()[2]
	require.Greater(t, k.Spread, 2.0)
	g.Scaled(k)
	require.NotNil(t, g.Joint)
	require.Equal(t, 1.0, s.PriorScale)
	f := s.Fit(fit.Hypothesis{}, fit.Point{Theta: s.Pr.Mean})
	require.True(t, f.Ok())
	g.Sound, g.All = f, []*fit.Fit{f}
	of := g.Joint.Of(k)
	require.False(t, math.IsInf(of, 0))
	require.True(t, math.IsInf(g.Joint.Of(search.Scale{Spread: 7, Fresh: 7, Prior: 7}), -1), "factors that are not tried")
	v, ok := g.Rescaled(0, f, k)
	require.True(t, ok)
	require.InDelta(t, f.Evidence+of-g.Joint.Mean, v, 0.02)

	alone := f.Evidence
	g.Together()
	require.NotNil(t, f.Both)
	v, ok = g.Rescaled(1, f, k)
	require.True(t, ok)
	require.InDelta(t, f.Evidence+of-g.Joint.Mean, v, 0.02)
	require.InDelta(t, alone, f.Evidence, 0.5)

	// one that stops short promises no more than its point is worth
	short, d := *f.Both, *f.Both.Fit
	d.Left += 1.5
	short.Fit = &d
	less, ok := g.Both[0].P.Rescaled(&short, k.Spread, k.Fresh)
	require.True(t, ok)
	require.InDelta(t, v+g.Joint.Mean-1.5, less, 1e-6)
}

// A search shifts what it did not fit to both by as much as the best gained,
// and what it only screened by as much as that which it was to be added to.
func TestWhatIsNotFittedToBothIsShifted(t *testing.T) {
	both := &fit.Fit{}
	g := &search.Search{Off: 2, All: []*fit.Fit{{Status: fit.Settled, Evidence: 10, Both: both}, {Status: fit.Settled, Evidence: 7, Both: both}, {Status: fit.Settled, Evidence: 1}}, Rest: []screen.Idea{{Score: -4, Off: 2, From: &fit.Fit{}}}}
	g.Shift(g.All[:2], []float64{5, 6}) // before, and without what the best gained then
	require.Equal(t, 5.0, g.Off)
	require.Equal(t, 4.0, g.All[2].Evidence)
	require.Equal(t, -1.0, g.Rest[0].Score)
	require.Equal(t, 7.0, g.All[1].Evidence)

	g.Rest = append(g.Rest, screen.Idea{Score: -3, Off: g.Gained(g.All[0]), From: g.All[1]}, screen.Idea{Score: -2, Off: g.Gained(g.All[2]), From: g.All[2]})
	g.All[2].Evidence = 3
	g.All = append(g.All, &fit.Fit{Status: fit.Settled, Evidence: 30, Both: both})
	g.Shift(g.All[3:], []float64{23})
	require.Equal(t, 7.0, g.Off)
	require.Equal(t, 5.0, g.All[2].Evidence)
	require.Equal(t, 1.0, g.Rest[0].Score)
	require.Equal(t, -7.0, g.Rest[1].Score, "its parent gained 1, the best 5")
	require.Equal(t, 0.0, g.Rest[2].Score)
}

// What is put off keeps in mind what is in its score already.
func TestWhatIsPutOffKnowsWhatItGained(t *testing.T) {
	_, g, _ := kit.RuleSearch(t, kit.Sound)
	g.Off = 2
	parent := *g.Sound
	parent.Both, parent.Gain = &fit.Fit{}, 5
	g.FitBest([]screen.Idea{{Score: parent.Score(), From: &parent, Key: "a"}, {Score: -1e6, From: &parent, Key: "b"}, {Score: -1e6, From: g.Sound, Key: "c"}})
	require.Len(t, g.Rest, 2)
	require.Equal(t, 5.0, g.Rest[0].Off)
	require.Equal(t, 2.0, g.Rest[1].Off)
}

// A row of the baseline that was set aside there is set aside in both.
func TestTheBaselinesWrongRowsAreSetAside(t *testing.T) {
	r := kit.NewRules(t)
	const row = 9
	a, bad := observe.Bind(r.M, r.Survey(kit.Sound, kit.RuleTaps, map[int]float64{row: -70}))
	b, more := observe.Bind(r.M, r.Survey(kit.Sound, kit.RuleTaps, nil))
	require.NoError(t, append(bad, more...).Err())
	u := asbuilt.NewUnknowns(r.M)
	l := fit.NewLayout(u, b, a)
	before := fit.Prior{Mean: make([]float64, l.N), Scale: 1}
	taught, last, err := search.LearnFrom(t.Context(), r.M, u, l, a, before)
	require.NoError(t, err)
	j := search.NewJoint(r.M, u, l, b, last, before)
	require.NotNil(t, j)
	require.Len(t, j.Sound.Rows, 1)
	require.Equal(t, row-2, j.Sound.Rows[0].Observation)

	s := fit.NewStudy(r.M, u, l, b, taught)
	g := search.NewSearch(s, nil, nil)
	g.Joint = j
	g.Scaled(search.Scale{Spread: 1, Fresh: 1, Prior: 0})
	f := s.Fit(fit.Hypothesis{}, fit.Point{Theta: s.Pr.Mean})
	g.Sound, g.All = f, []*fit.Fit{f}
	alone := f.Evidence
	g.Together()
	require.NotNil(t, f.Both)
	require.InDelta(t, alone, f.Evidence, 0.5)
}

// What the readings of a pair share is J C Jᵀ, with the C that a baseline left.
func TestWhatAPairShares(t *testing.T) {
	r := kit.NewRules(t)
	x := bothSurveys(t, r, kit.Sound)
	require.NotNil(t, x.taught.V)
	p := fit.NewPair(fit.NewStudy(r.M, x.u, x.l, x.b, x.taught), fit.NewStudy(r.M, x.u, x.l, x.b, x.taught), x.taught)
	f := p.Linearised(fit.Hypothesis{}, p.Before())
	require.True(t, f.Ok())
	p.PriorScale = 3
	m := len(p.Observation)
	shared := mat.NewSymDense(m, nil)
	p.Spread(f.Fit, shared)
	free := make([]float64, 2) // without what was learned, and with it
	for i := range m {
		row := mat.NewVecDense(p.N, mat.Row(nil, i, f.Fit.J))
		c := p.Cov(row)
		for j := range m {
			require.InDelta(t, mat.Dot(c, mat.NewVecDense(p.N, mat.Row(nil, j, f.Fit.J))), shared.At(i, j), 1e-6*math.Abs(shared.At(i, i)))
		}
		free[0] += x.taught.Scale * mat.Dot(row, row)
		free[1] += shared.At(i, i) / 9
	}
	require.Less(t, free[1], free[0]/2, "a baseline narrows what readings may be")
	require.Positive(t, free[1])
}

// No step leads from the mode to a point less probable, however far the target
// lies; what can't go stays where it is.
func TestAPairGoesNowhereWorse(t *testing.T) {
	r := kit.NewRules(t)
	x := bothSurveys(t, r, leaky(2))
	p := fit.NewPair(fit.NewStudy(r.M, x.u, x.l, x.a, x.before), fit.NewStudy(r.M, x.u, x.l, x.b, x.before), x.before)
	f := p.Fit(fit.Hypothesis{}, p.Before())
	require.True(t, f.Settled())
	at, h, cost := f.At.Clone(), append([]float64(nil), f.Fit.H...), fit.OneFit{S: p.Study, F: f, D: f.Fit}.Cost()
	next := at.Clone()
	for x := range next.Theta {
		next.Theta[x] += 2 * math.Sin(float64(1+3*x))
		next.Dual[x] = next.Theta[x] - p.Pr.Mean[x]
	}
	moved, went := fit.Advance(fit.OneFit{S: p.Study, F: f, D: f.Fit}, next, fit.AdvanceTries)
	require.False(t, went)
	require.Greater(t, moved, 1.0)
	require.Equal(t, at, f.At)
	require.InDeltaSlice(t, h, f.Fit.H, 1e-4)
	require.InDelta(t, cost, fit.OneFit{S: p.Study, F: f, D: f.Fit}.Cost(), 1e-6)

	// from elsewhere it goes as far as makes the point more probable
	f.At = next.Clone()
	require.NoError(t, p.Predict(f.At, fit.Hypothesis{}, f.Fit.H))
	worse := fit.OneFit{S: p.Study, F: f, D: f.Fit}.Cost()
	_, went = fit.Advance(fit.OneFit{S: p.Study, F: f, D: f.Fit}, at, fit.AdvanceTries)
	require.True(t, went)
	require.Less(t, fit.OneFit{S: p.Study, F: f, D: f.Fit}.Cost(), worse)

	// a step that goes too far is shortened by a new linearisation only: by an
	// old one it is not known to lead downhill at all
	half := next.Clone()
	half.Towards(at, 0.5)
	for afresh, want := range map[bool]bool{true: true, false: false} {
		f.At = half.Clone()
		require.NoError(t, p.Predict(f.At, fit.Hypothesis{}, f.Fit.H))
		worse, beyond := fit.OneFit{S: p.Study, F: f, D: f.Fit}.Cost(), half.Clone()
		beyond.Towards(at, 2.9)
		_, went = fit.Advance(fit.OneFit{S: p.Study, F: f, D: f.Fit}, beyond, fit.TriesOf(afresh))
		require.Equal(t, want, went)
		require.Equal(t, want, fit.OneFit{S: p.Study, F: f, D: f.Fit}.Cost() < worse-1)
	}
}

// The same of a survey alone.
func TestAnOldLinearisationIsNotFollowedUphill(t *testing.T) {
	s, f := kit.FitOf(t)
	at := f.At.Clone()
	away := at.Clone()
	for x := range away.Theta {
		away.Theta[x] += math.Sin(float64(1 + 3*x))
		away.Dual[x] = (away.Theta[x] - s.Pr.Mean[x]) / s.Pr.Scale
	}
	for afresh, want := range map[bool]bool{true: true, false: false} {
		f.At = away.Clone()
		require.NoError(t, s.Predict(f.At, f.Hypothesis, f.Fit.H))
		worse, beyond := fit.OneFit{S: s, F: f, D: f.Fit}.Cost(), away.Clone()
		beyond.Towards(at, 2.9)
		_, went := fit.Advance(fit.OneFit{S: s, F: f, D: f.Fit}, beyond, fit.TriesOf(afresh))
		require.Equal(t, want, went)
		require.Equal(t, want, fit.OneFit{S: s, F: f, D: f.Fit}.Cost() < worse-1)
	}
}

// The evidence of a fit after a baseline is that of everything linearised where
// it ends, apart from slopes that have hardly changed: not what was taken over on
// the way, which may be half a nat off.
func TestAFitEndsExactly(t *testing.T) {
	r := kit.NewRules(t)
	x := bothSurveys(t, r, kit.FanAt(0.7))
	s := fit.NewStudy(r.M, x.u, x.l, x.b, x.taught)
	n := 0
	for _, v := range fault.Sites(r.M) {
		h := fit.Hypothesis{Faults: []*fault.Variant{v.Variants[0]}}
		f := s.Fit(h, fit.Point{Theta: s.Pr.Mean})
		if !f.Ok() {
			continue
		}
		again := s.Linearised(h, f.At)
		require.True(t, again.Ok())
		require.InDelta(t, again.Evidence, f.Evidence+f.Fit.Left, 0.25, "%v at %s", v.Kind, v.Where)
		n++
	}
	require.Greater(t, n, 20)
}
