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
	r := newRules(t)
	x := bothSurveys(t, r, fanAt(0.85))
	p := newPair(newStudy(r.m, x.u, x.l, x.a, x.before), newStudy(r.m, x.u, x.l, x.b, x.before), x.before)
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
			sum += v * v
		}
		for i, v := range h {
			sum += (f.y[i] - v) * (f.y[i] - v) / f.noise[i]
		}
		return sum
	}
	best := badness(f.at)
	require.InDelta(t, best/2, p.cost(f), 1e-6*best)
	for i := range f.at.theta {
		for _, step := range []float64{-0.3, 0.3} {
			at := f.at.clone()
			at.theta[i] += step
			require.Greater(t, badness(at), best-1e-3, "parameter %d by %v", i, step)
		}
	}

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
		H.SetSym(k, k, H.At(k, k)+1)
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
