package fit_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/search"
)

// badness is twice the negative log of the posterior density, apart from a constant.
func badness(t *testing.T, s *fit.Study, f *fit.Fit, at fit.Point) float64 {
	h := make([]float64, len(s.Observation))
	require.NoError(t, s.Predict(at, f.Hypothesis, h))
	var sum float64
	for i, o := range s.Observation {
		sum += (o.Y - h[i]) * (o.Y - h[i]) / s.BaseNoise(i)
	}
	for i, v := range at.Theta {
		sum += (v - s.Pr.Mean[i]) * (v - s.Pr.Mean[i]) / s.Pr.Scale
	}
	for k, z := range at.Z {
		sp := fault.Severities[f.Faults[k].Kind]
		sum += (z - sp.Mean) * (z - sp.Mean) / (sp.Sd * sp.Sd)
	}
	return sum
}

// A fit ends at the most probable point: a step along any parameter or the
// severity makes it worse.
func TestFitIsTheMode(t *testing.T) {
	s, f := kit.FitOf(t)
	best := badness(t, s, f, f.At)
	for i := range f.At.Theta {
		for _, step := range []float64{-0.3, 0.3} {
			at := f.At.Clone()
			at.Theta[i] += step
			require.Greater(t, badness(t, s, f, at), best-1e-6, "parameter %d by %v", i, step)
		}
	}
	for _, step := range []float64{-0.1, 0.1} {
		at := f.At.Clone()
		at.Z[0] += step
		require.Greater(t, badness(t, s, f, at), best, "severity by %v", step)
	}
}

// The variance of a severity and the evidence, which the fit works out in the
// space of readings, against plain linear algebra in the space of parameters:
// H = diag(prior⁻¹) + Aᵀ R⁻¹ A over parameters and severity together.
func TestFitAgreesWithParameterSpace(t *testing.T) {
	s, f := kit.FitOf(t)
	m, n := len(s.Observation), s.N+1
	sp := fault.Severities[fault.FanWeak]
	A := mat.NewDense(m, n, nil)
	H := mat.NewSymDense(n, nil)
	for i := range m {
		for x := range s.N {
			A.Set(i, x, f.Fit.J.At(i, x))
		}
		A.Set(i, n-1, f.Fit.Jz.At(i, 0))
	}
	var noise float64
	for i := range m {
		row := mat.NewVecDense(n, mat.Row(nil, i, A))
		H.SymRankOne(H, 1/s.BaseNoise(i), row)
		noise += math.Log(s.BaseNoise(i))
	}
	for x := range s.N {
		H.SetSym(x, x, H.At(x, x)+1/s.Pr.Scale)
	}
	H.SetSym(n-1, n-1, H.At(n-1, n-1)+1/(sp.Sd*sp.Sd))
	var chol mat.Cholesky
	require.True(t, chol.Factorize(H))
	unit := mat.NewVecDense(n, nil)
	unit.SetVec(n-1, 1)
	var col mat.VecDense
	require.NoError(t, chol.SolveVecTo(&col, unit))
	_, sd := s.SeverityAt(f, 0)
	require.InEpsilon(t, math.Sqrt(col.AtVec(n-1)), sd, 1e-6)

	// log det S = log det R + log det prior + log det H, and rᵀS⁻¹r = rᵀR⁻¹r − gᵀH⁻¹g
	det := noise + float64(s.N)*math.Log(s.Pr.Scale) + 2*math.Log(sp.Sd) + chol.LogDet()
	g := mat.NewVecDense(n, nil)
	var rr float64
	for i := range m {
		r := f.Fit.R[i]
		rr += r * r / s.BaseNoise(i)
		g.AddScaledVec(g, r/s.BaseNoise(i), mat.NewVecDense(n, mat.Row(nil, i, A)))
	}
	var hg mat.VecDense
	require.NoError(t, chol.SolveVecTo(&hg, g))
	want := -0.5*(rr-mat.Dot(g, &hg)) - 0.5*det - 0.5*float64(m)*math.Log(2*math.Pi)
	require.InDelta(t, want, f.Evidence, 1e-4*math.Abs(want))
}

// Each baseline takes variance away and never more than there is.
func TestBaselinesTeach(t *testing.T) {
	r := kit.NewRules(t)
	b, bad := observe.Bind(r.M, r.Survey(kit.Sound, kit.RuleTaps, nil))
	require.NoError(t, bad.Err())
	u := asbuilt.NewUnknowns(r.M)
	l := fit.NewLayout(u, b)
	pr := fit.Prior{Mean: make([]float64, l.N), Scale: 1}
	last := float64(l.N)
	for range 3 {
		var err error
		pr, err = search.Learn(t.Context(), r.M, u, l, b, pr)
		require.NoError(t, err)
		var left float64
		for i := range l.N {
			row := pr.V.RawRowView(i)
			v := pr.Scale
			for _, x := range row {
				v -= x * x
			}
			require.True(t, v > -1e-9 && v < pr.Scale+1e-9, "variance of parameter %d is %v", i, v)
			left += v
		}
		require.Less(t, left, last, "another baseline teaches something")
		last = left
	}
}

// What a row would be if it is wrong in a way that people get rows wrong; the
// density of the value as written is that of the other value times the factor.
func TestWaysToBeWrong(t *testing.T) {
	r := kit.NewRules(t)
	s := kit.Untaught(t, r.M, r.Survey(kit.Sound, kit.RuleTaps, nil))
	y := s.Observation[0].Y
	sign := search.Signs(s, 0)
	require.Len(t, sign, 1)
	require.Equal(t, -y, sign[0].Y)
	slips := search.Slips(s, 0)
	require.NotEmpty(t, slips)
	tenfold := false
	for _, w := range slips {
		require.InDelta(t, math.Log(w.Y/y), w.Log, 1e-9, w.Reason)
		tenfold = tenfold || math.Abs(w.Y/y-10) < 0.3 // a millimetre of water is 9.8 Pa, which comes to the same
	}
	require.True(t, tenfold, "a decimal point may slip")
}

// The verdict by the contract: most likely nothing that matters broken is clear;
// else, with nothing asserted, unclear; an undersized drop alone is told, and no unclear.
func TestVerdict(t *testing.T) {
	asserted := func(k fault.Kind) []diagnose.Fault { return []diagnose.Fault{{Candidate: fault.Candidate{Kind: k}}} }
	for _, r := range []struct {
		sound  float64
		faults []diagnose.Fault
		want   diagnose.Verdict
	}{{0.6, nil, diagnose.Clear}, {0.4, nil, diagnose.Unclear}, {0.1, asserted(fault.Leak), diagnose.Faults}, {0.6, asserted(fault.Undersized), diagnose.Faults}, {0.4, asserted(fault.Undersized), diagnose.Unclear}, {0.6, asserted(fault.ReadingWrong), diagnose.Faults}} {
		require.Equal(t, r.want, diagnose.VerdictOf(&diagnose.Result{Broken: 1 - r.sound, Faults: r.faults}), "%+v", r)
	}
}

// A drop is undersized if its port needs more than it can get, and only then.
func TestUndersizedBothWays(t *testing.T) {
	for need, want := range map[float64]bool{0.05: false, 0.6: true} {
		r := kit.NewRules(t)
		r.Sys.Ports[0].Need = need
		res := r.Diagnose(r.Survey(kit.Sound, kit.RuleTaps, nil))
		found := false
		for _, f := range res.Faults {
			found = found || f.Kind == fault.Undersized
		}
		require.Equal(t, want, found, "need %v m3/s: %s", need, kit.Said(res))
	}
}

// A way that can't be solved is given up after a few tries, and after many such
// in one search at the first, so that no survey takes long; what was is kept.
func TestStatesThatCannotBeSolvedAreGivenUp(t *testing.T) {
	s, f := kit.FitOf(t)
	at := f.At.Clone()
	next := f.At.Clone()
	next.Theta[0] = math.NaN() // no part of the way there can be solved
	for hard, tries := range map[int]int{0: fit.MostUnsolved + 1, fit.MostHard: 1} {
		f.Fit.Unsolved, s.Hard = 0, hard
		_, went := fit.Advance(fit.OneFit{S: s, F: f, D: f.Fit}, next, fit.AdvanceTries)
		require.False(t, went)
		require.Equal(t, at, f.At)
		require.Equal(t, tries, f.Fit.Unsolved)
		require.Equal(t, hard+tries, s.Hard)
	}
}
