package diagnose

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/readings/units"
)

// The contract's errors: half of an instrument's variance is fresh in each
// reading, and repeats and positions average that half alone; the other half
// stays through a survey and has the reading's sign; 95 % limits are 1.96 sigma.
func TestErrorsOfAnObservation(t *testing.T) {
	in := instrumentSpec{"gauge", units.Pressure, 0.02, 3}
	for _, r := range []struct {
		y                  float64
		repeats, positions int
		sd, averaged       float64
	}{{1000, 1, 0, 20 / 1.96, 1}, {-1000, 1, 0, 20 / 1.96, 1}, {10, 1, 0, 3 / 1.96, 1}, {-1000, 4, 0, 20 / 1.96, 4}, {1000, 2, 8, 20 / 1.96, 16}} {
		o := obs{y: r.y}
		o.errors(in, units.StaticPressure, 1.2, r.repeats, r.positions)
		assert.InEpsilon(t, r.sd, o.sd, 1e-4, "%+v", r)
		assert.InEpsilon(t, r.sd/math.Sqrt2/math.Sqrt(r.averaged), o.fresh, 1e-4, "%+v", r)
		assert.InEpsilon(t, math.Copysign(r.sd/math.Sqrt2, r.y), o.gain, 1e-4, "%+v", r)
	}
}

// fitOf fits a survey of the rules' shop with a slow fan by the hypothesis
// that its fan is slow, from a prior whose mean is off the page.
func fitOf(t *testing.T) (*study, *fitted) {
	r := newRules(t)
	b, bad := bind(r.m, r.survey(fanAt(0.85), ruleTaps, nil))
	require.NoError(t, bad.Err())
	u := newUnknowns(r.m)
	l := newLayout(u, b)
	pr := prior{mean: make([]float64, l.n), scale: 1}
	for i := range pr.mean {
		pr.mean[i] = 0.4 * math.Sin(float64(i))
	}
	s := newStudy(r.m, u, l, b, pr)
	var v *variant
	for _, x := range sites(r.m) {
		if x.kind == FanWeak {
			v = x.variants[0]
		}
	}
	f := s.fit(hypothesis{faults: []*variant{v}}, point{theta: append([]float64(nil), s.pr.mean...)})
	require.True(t, f.ok && f.settled)
	return s, f
}

// badness is twice the negative log of the posterior density, but for a constant.
func badness(t *testing.T, s *study, f *fitted, at point) float64 {
	h := make([]float64, len(s.obs))
	require.NoError(t, s.predict(at, f.hypothesis, h))
	var sum float64
	for i, o := range s.obs {
		sum += (o.y - h[i]) * (o.y - h[i]) / s.baseNoise(i)
	}
	for i, v := range at.theta {
		sum += (v - s.pr.mean[i]) * (v - s.pr.mean[i]) / s.pr.scale
	}
	for k, z := range at.z {
		sp := severities[f.faults[k].kind]
		sum += (z - sp.mean) * (z - sp.mean) / (sp.sd * sp.sd)
	}
	return sum
}

// A fit ends at the most probable point: a step along any parameter or the
// severity makes it worse.
func TestFitIsTheMode(t *testing.T) {
	s, f := fitOf(t)
	best := badness(t, s, f, f.at)
	for i := range f.at.theta {
		for _, step := range []float64{-0.3, 0.3} {
			at := f.at.clone()
			at.theta[i] += step
			require.Greater(t, badness(t, s, f, at), best-1e-6, "parameter %d by %v", i, step)
		}
	}
	for _, step := range []float64{-0.1, 0.1} {
		at := f.at.clone()
		at.z[0] += step
		require.Greater(t, badness(t, s, f, at), best, "severity by %v", step)
	}
}

// The variance of a severity and the evidence, which the fit works out in the
// space of readings, against plain linear algebra in the space of parameters:
// H = diag(prior⁻¹) + Aᵀ R⁻¹ A over parameters and severity together.
func TestFitAgreesWithParameterSpace(t *testing.T) {
	s, f := fitOf(t)
	m, n := len(s.obs), s.n+1
	sp := severities[FanWeak]
	A := mat.NewDense(m, n, nil)
	H := mat.NewSymDense(n, nil)
	for i := range m {
		for x := range s.n {
			A.Set(i, x, f.fit.j.At(i, x))
		}
		A.Set(i, n-1, f.fit.jz.At(i, 0))
	}
	var noise float64
	for i := range m {
		row := mat.NewVecDense(n, mat.Row(nil, i, A))
		H.SymRankOne(H, 1/s.baseNoise(i), row)
		noise += math.Log(s.baseNoise(i))
	}
	for x := range s.n {
		H.SetSym(x, x, H.At(x, x)+1/s.pr.scale)
	}
	H.SetSym(n-1, n-1, H.At(n-1, n-1)+1/(sp.sd*sp.sd))
	var chol mat.Cholesky
	require.True(t, chol.Factorize(H))
	unit := mat.NewVecDense(n, nil)
	unit.SetVec(n-1, 1)
	var col mat.VecDense
	require.NoError(t, chol.SolveVecTo(&col, unit))
	_, sd := s.severityAt(f, 0)
	require.InEpsilon(t, math.Sqrt(col.AtVec(n-1)), sd, 1e-6)

	// log det S = log det R + log det prior + log det H, and rᵀS⁻¹r = rᵀR⁻¹r − gᵀH⁻¹g
	det := noise + float64(s.n)*math.Log(s.pr.scale) + 2*math.Log(sp.sd) + chol.LogDet()
	g := mat.NewVecDense(n, nil)
	var rr float64
	for i := range m {
		r := f.fit.r[i]
		rr += r * r / s.baseNoise(i)
		g.AddScaledVec(g, r/s.baseNoise(i), mat.NewVecDense(n, mat.Row(nil, i, A)))
	}
	var hg mat.VecDense
	require.NoError(t, chol.SolveVecTo(&hg, g))
	want := -0.5*(rr-mat.Dot(g, &hg)) - 0.5*det - 0.5*float64(m)*math.Log(2*math.Pi)
	require.InDelta(t, want, f.evidence, 1e-4*math.Abs(want))
}

// Each baseline takes variance away and never more than there is.
func TestBaselinesTeach(t *testing.T) {
	r := newRules(t)
	b, bad := bind(r.m, r.survey(sound, ruleTaps, nil))
	require.NoError(t, bad.Err())
	u := newUnknowns(r.m)
	l := newLayout(u, b)
	pr := prior{mean: make([]float64, l.n), scale: 1}
	last := float64(l.n)
	for range 3 {
		var err error
		pr, err = learn(t.Context(), r.m, u, l, b, pr)
		require.NoError(t, err)
		var left float64
		for i := range l.n {
			row := pr.v.RawRowView(i)
			v := pr.scale
			for _, x := range row {
				v -= x * x
			}
			require.True(t, v > -1e-9 && v < pr.scale+1e-9, "variance of parameter %d is %v", i, v)
			left += v
		}
		require.Less(t, left, last, "another baseline teaches something")
		last = left
	}
}

// The page's own uncertainty of losses scales those spreads that are losses, and no other.
func TestUncertaintyOfLosses(t *testing.T) {
	usual := newRules(t)
	twice := newRules(t)
	twice.sys.Uncertainty.Losses = 2 * usualLosses
	a, b := newUnknowns(usual.m), newUnknowns(twice.m)
	for i := range a.parts {
		f := 1.0
		if spreads[a.parts[i].What].losses {
			f = 2
		}
		require.InDelta(t, f*a.parts[i].sd[0], b.parts[i].sd[0], 1e-12)
		require.InDelta(t, f*a.parts[i].sd[1], b.parts[i].sd[1], 1e-12)
	}
}

// What a row would be if it is wrong in a way that people get rows wrong; the
// density of the value as written is that of the other value times the factor.
func TestWaysToBeWrong(t *testing.T) {
	r := newRules(t)
	s := untaught(t, r.m, r.survey(sound, ruleTaps, nil))
	y := s.obs[0].y
	sign := s.signs(0)
	require.Len(t, sign, 1)
	require.Equal(t, -y, sign[0].y)
	slips := s.slips(0)
	require.NotEmpty(t, slips)
	tenfold := false
	for _, w := range slips {
		require.InDelta(t, math.Log(w.y/y), w.log, 1e-9, w.reason)
		tenfold = tenfold || math.Abs(w.y/y-10) < 0.3 // a millimetre of water is 9.8 Pa, which comes to the same
	}
	require.True(t, tenfold, "a decimal point may slip")
}

// A fault's severity goes into the coefficients as the contract measures it.
func TestFaultsChangeWhatTheyMust(t *testing.T) {
	r := newRules(t)
	for _, x := range sites(r.m) {
		v := x.variants[0]
		c, was := r.m.Coefs(), r.m.Coefs()
		v.apply(&c, 0.2)
		size := v.severity(0.2)
		for _, sp := range v.spots {
			got, before := *sp.slot.Of(&c), *sp.slot.Of(&was)
			want := map[Kind]float64{Leak: before + sp.share*size, Blockage: before + airflow.BlockageLoss(size), GateRestricted: before + airflow.GateLoss(size),
				GateLeaking: before + size, FilterLoaded: before * size, FanWeak: size}[x.kind]
			require.InEpsilon(t, want, got, 1e-9, "%v at %s", x.kind, x.where)
		}
		if x.kind == FilterLoaded {
			require.Greater(t, v.severity(-10), 1.0, "a loaded filter drops more than a clean one")
		}
	}
}

// The verdict by the contract: sound likelier than not is clear; less, with
// nothing asserted, unclear; an undersized drop alone is told, and no unclear.
func TestVerdict(t *testing.T) {
	asserted := func(k Kind) []Fault { return []Fault{{Candidate: Candidate{Kind: k}}} }
	for _, r := range []struct {
		sound  float64
		faults []Fault
		want   Verdict
	}{{0.6, nil, Clear}, {0.4, nil, Unclear}, {0.1, asserted(Leak), Faults}, {0.6, asserted(Undersized), Faults}, {0.4, asserted(Undersized), Unclear}, {0.6, asserted(ReadingWrong), Faults}} {
		require.Equal(t, r.want, verdict(&Result{Sound: r.sound, Faults: r.faults}), "%+v", r)
	}
}

// A drop is undersized if its port needs more than it can get, and only then.
func TestUndersizedBothWays(t *testing.T) {
	for need, want := range map[float64]bool{0.05: false, 0.6: true} {
		r := newRules(t)
		r.sys.Ports[0].Need = need
		res := r.diagnose(r.survey(sound, ruleTaps, nil))
		found := false
		for _, f := range res.Faults {
			found = found || f.Kind == Undersized
		}
		require.Equal(t, want, found, "need %v m3/s: %s", need, said(res))
	}
}

// A way that can't be solved is given up after a few tries, and after many such
// in one search at the first, so that no survey takes long; what was is kept.
func TestStatesThatCannotBeSolvedAreGivenUp(t *testing.T) {
	s, f := fitOf(t)
	at := f.at.clone()
	next := f.at.clone()
	next.theta[0] = math.NaN() // no part of the way there can be solved
	for hard, tries := range map[int]int{0: mostUnsolved + 1, mostHard: 1} {
		f.fit.unsolved, s.hard = 0, hard
		_, went := advance(oneFit{s, f, f.fit}, next, advanceTries)
		require.False(t, went)
		require.Equal(t, at, f.at)
		require.Equal(t, tries, f.fit.unsolved)
		require.Equal(t, hard+tries, s.hard)
	}
}
