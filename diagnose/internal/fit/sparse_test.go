package fit_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/trial"
)

// some is a vector of no special kind.
func some(n, k int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = math.Sin(float64(k + i*(k+1)))
	}
	return out
}

// learned teaches a study something made up: it knows a few mixes of its parameters better.
func learned(s *fit.Study) {
	const mixes = 3
	s.Pr.V = mat.NewDense(s.N, mixes, nil)
	for c := range mixes {
		v := some(s.N, c+2)
		norm := 0.0
		for _, x := range v {
			norm += x * x
		}
		for x := range v {
			s.Pr.V.Set(x, c, 0.5*v[x]/math.Sqrt(norm))
		}
	}
	s.Pr.Scale = 1.15
	for x := range s.Pr.Mean {
		s.Pr.Mean[x] += 0.1 * math.Sin(float64(3*x))
	}
}

// bothWays is a study of a plant whose rows of derivatives are a matrix, and the same whose
// rows are kept by branches, as those of a large survey are.
func bothWays(t *testing.T, ports, readings int, taught bool) (whole, sparse *fit.Study, h fit.Hypothesis) {
	t.Helper()
	c, err := trial.FaultyPlant(7, ports, readings)
	require.NoError(t, err)
	m, err := airflow.New(c.System, airflow.Options{})
	require.NoError(t, err)
	whole, sparse = kit.Untaught(t, m, c.Survey), kit.Untaught(t, m, c.Survey)
	for _, s := range []*fit.Study{whole, sparse} {
		if taught {
			learned(s)
		}
		s.PriorScale, s.NoiseScale = 1.3, 1.2
	}
	use := make([]bool, sparse.N)
	for x := range use {
		use[x] = true
	}
	sparse.Reduce(use)
	for _, k := range []fault.Kind{fault.Leak, fault.FilterLoaded} {
		for _, x := range fault.Sites(m) {
			if x.Kind == k {
				h.Faults = append(h.Faults, x.Variants[0])
				break
			}
		}
	}
	o := whole.Observation[4]
	h.Rows = []*fit.Wrong{{Observation: 2, Drop: true, Cfg: -1, Log: -3},
		{Observation: 4, Y: 1.05 * o.Y, Gain: 1.1 * o.Gain, Fresh: 2 * o.Fresh, Cfg: -1, Log: -1},
		{Observation: 9, Cfg: (whole.Observation[9].Cfg + 1) % len(whole.States)}}
	for i, o := range whole.Observation { // read in the first setting, and elsewhere
		if i > 9 && o.Cfg != 0 {
			h.Rows = append(h.Rows, &fit.Wrong{Observation: i, Cfg: 0, Probe: &whole.Observation[3].Probe})
			break
		}
	}
	require.Len(t, h.Rows, 4)
	return whole, sparse, h
}

// Rows kept by branches give what the whole matrix gives: the derivatives, the evidence,
// what is left of variances and covariances, and how far a reading is known.
func TestSparseRowsSayTheSame(t *testing.T) {
	for _, x := range []struct {
		name            string
		ports, readings int
		taught          bool
	}{{"thinned", 6, 60, false}, {"thinned, taught", 6, 60, true}, {"large", 30, 250, false}, {"large, taught", 30, 250, true}} {
		t.Run(x.name, func(t *testing.T) {
			whole, sparse, h := bothWays(t, x.ports, x.readings, x.taught)
			require.Equal(t, x.readings > 240, sparse.Large())
			require.Equal(t, x.readings <= 240, sparse.Thinned())
			at := whole.Before()
			for i := range at.Theta {
				at.Theta[i] += 0.2 * math.Cos(float64(5*i))
			}
			for _, v := range h.Faults {
				at.Z = append(at.Z, v.Usual().Mean+0.1)
			}
			f, g := whole.Linearised(h, at), sparse.Linearised(h, at)
			require.True(t, f.Ok() && g.Ok())
			require.InDelta(t, f.Evidence, g.Evidence, 0.2, "what hardly counts is left out of sparse rows")
			require.InEpsilon(t, f.Fit.Quad, g.Fit.Quad, 1e-2)
			for k := range 3 {
				v := some(whole.N, k)
				a, b := f.Fit.Times(v), g.Fit.Times(v)
				for i := range a {
					require.InDelta(t, a[i], b[i], 0.1*math.Sqrt(whole.BaseNoise(i)), "of its fresh error")
				}
				u := mat.NewVecDense(whole.N, v)
				back := mat.Dot(f.Fit.Back(whole.N), u)
				require.InDelta(t, back, mat.Dot(g.Fit.Back(whole.N), u), 0.02*(1+math.Abs(back)))
				z := some(len(h.Faults), k+5)
				require.InEpsilon(t, whole.Variance(f, v, z), sparse.Variance(g, v, z), 1e-3)
				w, y := some(whole.N, k+3), some(len(h.Faults), k+7)
				both := whole.CovarianceWith(f, v, z)(w, y)
				require.InDelta(t, both, sparse.CovarianceWith(g, v, z)(w, y), 1e-2*(1+math.Abs(both)))
			}
			for i := range 12 {
				require.InEpsilon(t, whole.ReadingSD(f, i), sparse.ReadingSD(g, i), 1e-3)
			}
			for i := range h.Faults {
				for k := range whole.Observation {
					require.InDelta(t, f.Fit.Jz.At(k, i), g.Fit.Jz.At(k, i), 1e-2*(1+math.Abs(f.Fit.Jz.At(k, i))))
				}
			}
			rows := sparse.SparseRows()
			require.NotNil(t, rows)
			require.Equal(t, whole.N, sparse.N)
			e, ok := sparse.Rescaled(g, 2, 1)
			require.True(t, ok)
			d, ok := whole.Rescaled(f, 2, 1)
			require.True(t, ok)
			require.InDelta(t, d, e, 0.2)
			require.NotEqual(t, d, f.Evidence)
			again, ok := whole.Rescaled(f, 1.3, 1.2)
			require.True(t, ok)
			require.InDelta(t, f.Evidence, again, 1e-6)
		})
	}
}

// A fit's evidence is that of the point where it ended, everything worked out anew there,
// less what it owes; and it ends where one by the whole matrix ends.
func TestAFitsEvidenceIsThatOfItsPoint(t *testing.T) {
	for _, taught := range []bool{false, true} {
		whole, sparse, h := bothWays(t, 6, 60, taught)
		h.Rows = h.Rows[:1]
		var got [2]*fit.Fit
		for i, s := range []*fit.Study{whole, sparse} {
			f := s.FitFrom(h, s.Before(), fit.PatienceFar)
			require.True(t, f.Ok())
			got[i] = f
			s.Ref = nil
			g := s.Linearised(h, f.At)
			require.InDelta(t, g.Evidence-f.Fit.Left, f.Evidence, 0.05)
			require.GreaterOrEqual(t, f.Fit.Left, 0.0)
			owed := f.Fit.Left
			if gained := s.Polished(f); i == 0 {
				require.InDelta(t, 0, gained, 0.1, "it had settled")
			} else { // so few steps are for surveys that were searched before
				require.InDelta(t, owed, gained, 0.1*owed+0.1, "what it owed")
			}
			require.Less(t, f.Fit.Left, 0.5, "it has settled, or nearly")
		}
		require.InEpsilon(t, got[0].Evidence, got[1].Evidence, 5e-3)
	}
}

// Parameters that are left out stay at their means: what is expected does not change, and
// what they spread is said beside what the others do. The rest keep what is known of them.
func TestWhatIsLeftOutStaysAtItsMean(t *testing.T) {
	c, err := trial.FaultyPlant(7, 6, 60)
	require.NoError(t, err)
	m, err := airflow.New(c.System, airflow.Options{})
	require.NoError(t, err)
	whole, less := kit.Untaught(t, m, c.Survey), kit.Untaught(t, m, c.Survey)
	for _, s := range []*fit.Study{whole, less} {
		learned(s)
		s.PriorScale = 1.3
	}
	use := make([]bool, whole.N)
	kept := 0
	for x := range use {
		if use[x] = x%3 != 1 || x >= whole.Own; use[x] {
			kept++
		}
	}
	less.Reduce(use)
	require.Equal(t, kept, less.N)
	require.Equal(t, whole.N, less.All)
	a, b := make([]float64, len(whole.Observation)), make([]float64, len(whole.Observation))
	require.NoError(t, whole.Predict(whole.Before(), fit.Hypothesis{}, a))
	require.NoError(t, less.Predict(less.Before(), fit.Hypothesis{}, b))
	for i := range a { // near a bound a part bends a little
		require.InDelta(t, a[i], b[i], 1e-3*(1+math.Abs(a[i])))
	}

	full := mat.NewDense(len(a), whole.N, nil)
	whole.Jacobian(whole.Before(), fit.Hypothesis{}, full, nil)
	some := mat.NewDense(len(a), less.N, nil)
	less.Jacobian(less.Before(), fit.Hypothesis{}, some, nil)
	lost := make([]float64, less.All)
	for i := range a {
		at, sum := 0, 0.0
		for x := range use {
			if !use[x] {
				sum += full.At(i, x) * full.At(i, x)
				continue
			}
			require.InDelta(t, full.At(i, x), some.At(i, at), 0.01*(1+math.Abs(full.At(i, x))), "reading %d, parameter %d", i, x)
			at++
		}
		o := &less.Observation[i]
		st := less.States[o.Cfg]
		st.Prepare()
		st.Sensitivity(o.Probe, less.Grad)
		if o.AxisIx < 0 { // the profile's error multiplies these as well
			require.InDelta(t, 1.3*1.3*1.15*sum, less.LeftOut(less.Grad, lost), 0.1*(1+sum), "reading %d", i)
		}
	}
	require.Zero(t, whole.LeftOut(whole.Grad, lost))
	at := 0
	for x := range use {
		if use[x] {
			require.Equal(t, whole.Pr.Mean[x], less.Pr.Mean[at])
			require.Equal(t, whole.Pr.V.RawRowView(x), less.Pr.V.RawRowView(at))
			at++
		}
	}

	// what is used of what few readings depend on, the survey's own and its taps' in any case
	rows := whole.SparseRows()
	one, all := whole.Uses(rows, []int{0}), whole.Uses(rows, numeric.Evenly(len(a), len(a)))
	none := whole.Uses(rows, nil)
	for x := range whole.N {
		require.Equal(t, x >= whole.Own || none[x], none[x])
		require.True(t, all[x] || !one[x])
		if x >= whole.Own {
			require.True(t, none[x])
		}
	}
	count := func(use []bool) (n int) {
		for _, u := range use {
			if u {
				n++
			}
		}
		return n
	}
	require.Greater(t, count(one), count(none))
	require.Greater(t, count(all), count(one))
	require.Equal(t, whole.N-whole.Own+len(whole.Taps), count(none))
}

// A fit made light keeps what is said of it, and lets go of what only its screen needs.
func TestAFitMadeLight(t *testing.T) {
	_, sparse, h := bothWays(t, 30, 250, false)
	h.Rows = nil
	at := sparse.Before()
	for _, v := range h.Faults {
		at.Z = append(at.Z, v.Usual().Mean)
	}
	f := sparse.Linearised(h, at)
	require.False(t, f.IsLight())
	quad := f.Fit.Quad
	f.Light()
	require.True(t, f.IsLight())
	require.Equal(t, quad, f.Fit.Quad)
	require.Nil(t, f.Fit.Rows)
	none := &fit.Fit{}
	none.Light()
	require.False(t, none.IsLight())
	require.Nil(t, none.Fit)
	for point, want := range map[string]bool{airflow.CollectorInlet: false, airflow.BinPoint: false, sparse.M.Sys.Ports[0].ID: true} {
		require.Equal(t, want, sparse.DuctAt(point) >= 0, point)
	}
}
