package diagnose

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
)

// twoSurveys are a baseline of the rules' shop, sound, and a survey of it as h left it.
type twoSurveys struct {
	u      *unknowns
	l      layout
	a, b   *bound
	before prior
	last   *lesson
	taught prior
}

func bothSurveys(t *testing.T, r *rules, h hurt) *twoSurveys {
	a, bad := bind(r.m, r.survey(sound, ruleTaps, nil))
	b, more := bind(r.m, r.survey(h, ruleTaps, nil))
	require.NoError(t, append(bad, more...).Err())
	x := &twoSurveys{u: newUnknowns(r.m), a: a, b: b}
	x.l = newLayout(x.u, b, a)
	x.before = prior{mean: make([]float64, x.l.n), scale: 1}
	var err error
	x.taught, x.last, err = learnFrom(t.Context(), r.m, x.u, x.l, a, x.before)
	require.NoError(t, err)
	return x
}

// soundBothWays is the evidence of a survey if the system is sound: by what the
// baseline taught, and by both at once.
func soundBothWays(t *testing.T, h hurt) (taught, both float64) {
	r := newRules(t)
	x := bothSurveys(t, r, h)
	s := newStudy(r.m, x.u, x.l, x.b, x.taught)
	g := newSearch(s, nil, nil)
	g.joint = newJoint(r.m, x.u, x.l, x.b, x.last, x.before)
	require.NotNil(t, g.joint)
	g.scaled(scale{1, 1, 0})
	f := s.fit(hypothesis{}, point{theta: s.pr.mean})
	require.True(t, f.ok)
	taught = f.evidence
	f.key, g.sound, g.all = "", f, []*fitted{f}
	g.together()
	require.NotNil(t, f.both)
	require.True(t, f.both.settled)
	return taught, f.evidence
}

// leaky makes every seam and joint so many times as leaky.
func leaky(by float64) hurt {
	return func(_ *rules, c *airflow.Coefs) {
		for i := range c.Seep {
			c.Seep[i] *= by
		}
	}
}

// Where nothing changed, what a baseline teaches is as good as the baseline
// itself. Where all seams leak far more than it allowed, a mean and a covariance
// let a sound system pass that the baseline rules out.
func TestABaselineIsMoreThanAMeanAndACovariance(t *testing.T) {
	taught, both := soundBothWays(t, sound)
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
	r := newRules(t)
	x := bothSurveys(t, r, fanAt(0.85))
	p := newPair(newStudy(r.m, x.u, x.l, x.a, x.before), newStudy(r.m, x.u, x.l, x.b, x.before), x.before)
	p.kappa = kappa
	var slow *variant
	for _, s := range sites(r.m) {
		if s.kind == FanWeak {
			slow = s.variants[0]
		}
	}
	f := p.fit([]timed{{slow, after}}, nil, p.start())
	require.True(t, f.ok && f.settled)
	sp := severities[FanWeak]
	badness := func(at point) float64 {
		y := &pairFit{faults: f.faults, at: at}
		h := make([]float64, p.size())
		require.NoError(t, p.predict(y, h))
		sum := math.Pow((at.z[0]-sp.mean)/sp.sd, 2)
		for _, v := range at.theta {
			sum += v * v / (kappa * kappa)
		}
		for i, v := range h {
			sum += (f.y[i] - v) * (f.y[i] - v) / f.noise[i]
		}
		return sum
	}
	best := badness(f.at)
	require.InDelta(t, best/2, twoFit{p, f}.cost(), 1e-6*best)
	for i := range f.at.theta {
		for _, step := range []float64{-0.3, 0.3} {
			at := f.at.clone()
			at.theta[i] += step
			require.Greater(t, badness(at), best-1e-3, "parameter %d by %v", i, step)
		}
	}

	// from elsewhere it goes on until it is there again
	near := f.at.clone()
	for i := range near.theta {
		near.theta[i] += 0.2 * math.Sin(float64(1+i))
	}
	near.dual = nil
	again := p.fitFrom(f.faults, nil, near)
	require.True(t, again.settled)
	require.InDelta(t, twoFit{p, f}.cost(), twoFit{p, again}.cost(), 0.05)

	// log N(r; 0, R + J Jᵀ + …) = −½(rᵀR⁻¹r − gᵀH⁻¹g) − ½ log(|R| |C| |H|) …
	m, n := p.size(), p.n+1
	H, g := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil)
	var rr, det float64
	for i := range m {
		row := mat.NewVecDense(n, append(mat.Row(nil, i, f.j), f.jz.At(i, 0)))
		H.SymRankOne(H, 1/f.noise[i], row)
		g.AddScaledVec(g, f.r[i]/f.noise[i], row)
		rr += f.r[i] * f.r[i] / f.noise[i]
		det += math.Log(f.noise[i])
	}
	for k := range p.n {
		H.SetSym(k, k, H.At(k, k)+1/(kappa*kappa))
		det += 2 * math.Log(kappa)
	}
	H.SetSym(p.n, p.n, H.At(p.n, p.n)+1/(sp.sd*sp.sd))
	var chol mat.Cholesky
	require.True(t, chol.Factorize(H))
	var hg mat.VecDense
	require.NoError(t, chol.SolveVecTo(&hg, g))
	want := -0.5*(rr-mat.Dot(g, &hg)) - 0.5*(det+2*math.Log(sp.sd)+chol.LogDet()) - 0.5*float64(m)*math.Log(2*math.Pi)
	require.InDelta(t, want, f.evidence, 1e-4*math.Abs(want))
}

// A row of which nothing is believed counts for nothing, in one survey or in both.
func TestARowSetAsideCountsForNothing(t *testing.T) {
	r := newRules(t)
	x := bothSurveys(t, r, sound)
	evidence := func(change float64) float64 {
		p := newPair(newStudy(r.m, x.u, x.l, x.a, x.before), newStudy(r.m, x.u, x.l, x.b, x.before), x.before)
		p.aside[0][3] = true
		p.s[0].obs[3].y += change
		p.s[1].obs[5].y += change
		f := p.fit(nil, []*wrong{{obs: 5, drop: true, cfg: -1}}, p.start())
		require.True(t, f.ok)
		return f.evidence
	}
	require.InDelta(t, evidence(0), evidence(500), 0.01)
}

// Under other factors survey and baseline are weighed as they were fitted: what
// the baseline taught is of the same factor, not of its square.
func TestAJointUnderOtherFactors(t *testing.T) {
	r := newRules(t)
	x := bothSurveys(t, r, sound)
	s := newStudy(r.m, x.u, x.l, x.b, x.taught)
	g := newSearch(s, nil, nil)
	g.joint = newJoint(r.m, x.u, x.l, x.b, x.last, x.before)
	k := scales()[2]
	require.Greater(t, k.spread, 2.0)
	g.scaled(k)
	require.NotNil(t, g.joint)
	require.Equal(t, 1.0, s.kappa)
	f := s.fit(hypothesis{}, point{theta: s.pr.mean})
	require.True(t, f.ok)
	g.sound, g.all = f, []*fitted{f}
	of := g.joint.of(k)
	require.False(t, math.IsInf(of, 0))
	require.True(t, math.IsInf(g.joint.of(scale{7, 7, 7}), -1), "factors that are not tried")
	v, ok := g.rescaled(0, f, k)
	require.True(t, ok)
	require.InDelta(t, f.evidence+of-g.joint.mean, v, 0.02)

	alone := f.evidence
	g.together()
	require.NotNil(t, f.both)
	v, ok = g.rescaled(1, f, k)
	require.True(t, ok)
	require.InDelta(t, f.evidence+of-g.joint.mean, v, 0.02)
	require.InDelta(t, alone, f.evidence, 0.5)

	// one that stops short promises no more than its point is worth
	short := *f.both
	short.left += 1.5
	less, ok := g.both[0].rescaled(&short, k)
	require.True(t, ok)
	require.InDelta(t, v+g.joint.mean-1.5, less, 1e-6)
}

// A search shifts what it did not fit to both by as much as the best gained,
// and what it only screened by as much as that which it was to be added to.
func TestWhatIsNotFittedToBothIsShifted(t *testing.T) {
	both := &pairFit{}
	g := &search{off: 2, all: []*fitted{{ok: true, evidence: 10, both: both}, {ok: true, evidence: 7, both: both}, {ok: true, evidence: 1}}, rest: []idea{{score: -4, off: 2, from: &fitted{}}}}
	g.shift(g.all[:2], []float64{5, 6}) // before, and without what the best gained then
	require.Equal(t, 5.0, g.off)
	require.Equal(t, 4.0, g.all[2].evidence)
	require.Equal(t, -1.0, g.rest[0].score)
	require.Equal(t, 7.0, g.all[1].evidence)

	g.rest = append(g.rest, idea{score: -3, off: g.gained(g.all[0]), from: g.all[1]}, idea{score: -2, off: g.gained(g.all[2]), from: g.all[2]})
	g.all[2].evidence = 3
	g.all = append(g.all, &fitted{ok: true, evidence: 30, both: both})
	g.shift(g.all[3:], []float64{23})
	require.Equal(t, 7.0, g.off)
	require.Equal(t, 5.0, g.all[2].evidence)
	require.Equal(t, 1.0, g.rest[0].score)
	require.Equal(t, -7.0, g.rest[1].score, "its parent gained 1, the best 5")
	require.Equal(t, 0.0, g.rest[2].score)
}

// What is put off keeps in mind what is in its score already.
func TestWhatIsPutOffKnowsWhatItGained(t *testing.T) {
	_, g, _ := ruleSearch(t, sound)
	g.off = 2
	parent := *g.sound
	parent.both, parent.gain = &pairFit{}, 5
	g.fitBest([]idea{{score: parent.score(), from: &parent, key: "a"}, {score: -1e6, from: &parent, key: "b"}, {score: -1e6, from: g.sound, key: "c"}})
	require.Len(t, g.rest, 2)
	require.Equal(t, 5.0, g.rest[0].off)
	require.Equal(t, 2.0, g.rest[1].off)
}

// A row of the baseline that was set aside there is set aside in both.
func TestTheBaselinesWrongRowsAreSetAside(t *testing.T) {
	r := newRules(t)
	const row = 9
	a, bad := bind(r.m, r.survey(sound, ruleTaps, map[int]float64{row: -70}))
	b, more := bind(r.m, r.survey(sound, ruleTaps, nil))
	require.NoError(t, append(bad, more...).Err())
	u := newUnknowns(r.m)
	l := newLayout(u, b, a)
	before := prior{mean: make([]float64, l.n), scale: 1}
	taught, last, err := learnFrom(t.Context(), r.m, u, l, a, before)
	require.NoError(t, err)
	j := newJoint(r.m, u, l, b, last, before)
	require.NotNil(t, j)
	require.Len(t, j.sound.rows, 1)
	require.Equal(t, map[int]bool{row - 2: true}, j.p.aside[0])
	require.Empty(t, j.p.aside[1])

	s := newStudy(r.m, u, l, b, taught)
	g := newSearch(s, nil, nil)
	g.joint = j
	g.scaled(scale{1, 1, 0})
	f := s.fit(hypothesis{}, point{theta: s.pr.mean})
	g.sound, g.all = f, []*fitted{f}
	alone := f.evidence
	g.together()
	require.NotNil(t, f.both)
	require.InDelta(t, alone, f.evidence, 0.5)
}

// What the readings of a pair share is J C Jᵀ, with the C that a baseline left.
func TestWhatAPairShares(t *testing.T) {
	r := newRules(t)
	x := bothSurveys(t, r, sound)
	require.NotNil(t, x.taught.v)
	p := newPair(newStudy(r.m, x.u, x.l, x.b, x.taught), newStudy(r.m, x.u, x.l, x.b, x.taught), x.taught)
	f := p.begin(nil, nil, p.start())
	require.NoError(t, p.predict(f, f.h))
	p.slopesAt(f)
	p.kappa = 3
	free := make([]float64, 2) // without what was learned, and with it
	for i := range p.size() {
		row := mat.NewVecDense(p.n, mat.Row(nil, i, f.j))
		c := p.cov(row)
		for j := range p.size() {
			require.InDelta(t, mat.Dot(c, mat.NewVecDense(p.n, mat.Row(nil, j, f.j)))/9, f.shared.At(i, j), 1e-6*math.Abs(f.shared.At(i, i)))
		}
		free[0] += x.taught.scale * mat.Dot(row, row)
		free[1] += f.shared.At(i, i)
	}
	require.Less(t, free[1], free[0]/2, "a baseline narrows what readings may be")
	require.Positive(t, free[1])
}

// No step leads from the mode to a point less probable, however far the target
// lies; what can't go stays where it is.
func TestAPairGoesNowhereWorse(t *testing.T) {
	r := newRules(t)
	x := bothSurveys(t, r, leaky(2))
	p := newPair(newStudy(r.m, x.u, x.l, x.a, x.before), newStudy(r.m, x.u, x.l, x.b, x.before), x.before)
	f := p.fit(nil, nil, p.start())
	require.True(t, f.settled)
	at, h, cost := f.at.clone(), append([]float64(nil), f.h...), twoFit{p, f}.cost()
	next := at.clone()
	for x := range next.theta {
		next.theta[x] += 2 * math.Sin(float64(1+3*x))
		next.dual[x] = next.theta[x] - p.mean(x)
	}
	moved, went := advance(twoFit{p, f}, next, advanceTries)
	require.False(t, went)
	require.Greater(t, moved, 1.0)
	require.Equal(t, at, f.at)
	require.InDeltaSlice(t, h, f.h, 1e-4)
	require.InDelta(t, cost, twoFit{p, f}.cost(), 1e-6)

	// from elsewhere it goes as far as makes the point more probable
	f.at = next.clone()
	require.NoError(t, p.predict(f, f.h))
	worse := twoFit{p, f}.cost()
	_, went = advance(twoFit{p, f}, at, advanceTries)
	require.True(t, went)
	require.Less(t, twoFit{p, f}.cost(), worse)

	// a step that goes too far is shortened by a new linearisation only: by an
	// old one it is not known to lead downhill at all
	half := next.clone()
	half.towards(at, 0.5)
	for afresh, want := range map[bool]bool{true: true, false: false} {
		f.at = half.clone()
		require.NoError(t, p.predict(f, f.h))
		worse, beyond := twoFit{p, f}.cost(), half.clone()
		beyond.towards(at, 2.9)
		_, went = advance(twoFit{p, f}, beyond, triesOf(afresh))
		require.Equal(t, want, went)
		require.Equal(t, want, twoFit{p, f}.cost() < worse-1)
	}
}

// The same of a survey alone.
func TestAnOldLinearisationIsNotFollowedUphill(t *testing.T) {
	s, f := fitOf(t)
	at := f.at.clone()
	away := at.clone()
	for x := range away.theta {
		away.theta[x] += math.Sin(float64(1 + 3*x))
		away.dual[x] = (away.theta[x] - s.pr.mean[x]) / s.pr.scale
	}
	for afresh, want := range map[bool]bool{true: true, false: false} {
		f.at = away.clone()
		require.NoError(t, s.predict(f.at, f.hypothesis, f.fit.h))
		worse, beyond := oneFit{s, f, f.fit}.cost(), away.clone()
		beyond.towards(at, 2.9)
		_, went := advance(oneFit{s, f, f.fit}, beyond, triesOf(afresh))
		require.Equal(t, want, went)
		require.Equal(t, want, oneFit{s, f, f.fit}.cost() < worse-1)
	}
}

// The evidence of a fit after a baseline is that of everything linearised where
// it ends, but for slopes that have hardly changed: not what was taken over on
// the way, which may be half a nat off.
func TestAFitEndsExactly(t *testing.T) {
	r := newRules(t)
	x := bothSurveys(t, r, fanAt(0.7))
	s := newStudy(r.m, x.u, x.l, x.b, x.taught)
	n := 0
	for _, v := range sites(r.m) {
		h := hypothesis{faults: []*variant{v.variants[0]}}
		f := s.fit(h, point{theta: s.pr.mean})
		if !f.ok {
			continue
		}
		again := s.linearised(h, f.at)
		require.True(t, again.ok)
		require.InDelta(t, again.evidence, f.evidence+f.fit.left, 0.25, "%v at %s", v.kind, v.where)
		n++
	}
	require.Greater(t, n, 20)
}
