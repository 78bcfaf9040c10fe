package doubt_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"lostair/diagnose/internal/doubt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/search"
)

// Air of a port passes the ducts below it, if its gate is open.
func TestWhichDuctsAirPasses(t *testing.T) {
	r, g, _ := kit.RuleSearch(t, kit.Sound)
	page := doubt.Page(g)
	require.NotNil(t, page)
	passed := map[string]map[string]bool{}
	for _, open := range []string{"all", "a", "b", "c"} {
		passed[open] = map[string]bool{"main": true}
		for _, drop := range []string{"a", "b", "c"} {
			passed[open]["drop-"+drop] = open == "all" || open == drop
			passed[open]["hose-"+drop] = open == "all" || open == drop
		}
	}
	for k, open := range []string{"all", "a", "b", "c"} { // as the survey has them
		for d := range r.Sys.Ducts {
			id := r.Sys.Ducts[d].ID
			require.Equal(t, passed[open][id], page.Through(r.M, k, d), "%s open, %s", open, id)
		}
	}
}

// How badly a survey fits another diameter is found by solving only where that
// diameter counts; solving everything says the same.
func TestMisfitSolvesWhatMatters(t *testing.T) {
	r, g, x := kit.RuleSearch(t, kit.Sound)
	page := doubt.Page(g)
	for _, c := range []struct {
		duct string
		d    float64
	}{{"hose-b", 0.1}, {"drop-c", 0.125}, {"main", 0.2}} {
		w := &doubt.Resized{Duct: r.Duct(c.duct), D: c.d}
		w.Bound, w.M = x.WithDiameter(w.Duct, c.d)
		require.NotNil(t, w.Bound)
		got := page.Misfit(w)

		res := mat.NewVecDense(len(w.Bound.Observation), nil)
		co := w.M.Coefs()
		for i, o := range w.Bound.Observation {
			st := w.M.NewState()
			require.NoError(t, st.Solve(&co, w.Bound.Configs[o.Cfg].Config))
			res.SetVec(i, o.Y-st.Value(o.Probe))
		}
		a := mat.NewVecDense(len(w.Bound.Observation), nil)
		require.NoError(t, page.Chol.SolveVecTo(a, res))
		want := mat.Dot(res, a)
		require.Greater(t, want, 20.0, "%s: the diameter counts", c.duct)
		require.InEpsilon(t, want, got, 0.05, c.duct)
		require.False(t, math.IsInf(got, 0))
	}
}

// A row that was set aside is taken back if the readings fit as well with it.
func TestNothingIsLeftOutThatNeedNot(t *testing.T) {
	_, g, _ := kit.RuleSearch(t, kit.Sound)
	w := search.Dropped(g.S, 3)
	f := doubt.Cleaned(g.S, fit.Hypothesis{Rows: []*fit.Wrong{w}})
	require.True(t, f.Ok())
	require.Empty(t, f.Rows)
	require.Greater(t, f.Score(), doubt.FitWithout(g.S, fit.Hypothesis{Rows: []*fit.Wrong{w}}).Score()+1)

	g.S.Observation[3].Y *= 5
	f = doubt.Cleaned(g.S, fit.Hypothesis{Rows: []*fit.Wrong{w}})
	require.Len(t, f.Rows, 1)
	require.Equal(t, 3, f.Rows[0].Observation)
}

// With the fan at rest each reading is what its instrument shows of zero, by
// the density of the normal distribution, or a row of which nothing is known.
func TestTheFanAtRestByDensity(t *testing.T) {
	_, g, _ := kit.RuleSearch(t, kit.Sound)
	want := math.Log(doubt.StillPrior)
	for i := range g.S.Observation {
		o := &g.S.Observation[i]
		o.Y = 0.3 * float64(i%3)
		w := search.Dropped(g.S, i)
		sd := o.Valued(0, g.S.B.Survey.Readings[o.Reading].Quantity, g.S.M.Air.Density).Sd
		want += math.Log(distuv.Normal{Sigma: sd}.Prob(o.Y) + w.Prior*math.Exp(w.Log))
	}
	require.InDelta(t, want, doubt.StoodStill(g).Score, 1e-9)
}

// What is wrong beside a misread column stays so; in it all rows slip alike.
func TestASlippedColumnLeavesTheRest(t *testing.T) {
	_, g, _ := kit.RuleSearch(t, kit.Sound)
	g.Sound.Rows = []*fit.Wrong{search.Dropped(g.S, 0), search.Dropped(g.S, 5)}
	x := doubt.Slipped(g, []int{5, 6}, doubt.Slip{Factor: 2, Prior: 0.1})
	require.Len(t, x.H.Rows, 3)
	require.Same(t, g.Sound.Rows[0], x.H.Rows[0])
	for k, i := range []int{5, 6} {
		w := x.H.Rows[k+1]
		require.Equal(t, i, w.Observation)
		require.False(t, w.Drop)
		require.InDelta(t, 2*g.S.Observation[i].Y, w.Y, 1e-9)
		require.InDelta(t, math.Log(2), w.Log, 1e-12)
	}
}

// How well a set fits counts its wrong rows for what they are worth, and not its faults.
func TestReadingsAlone(t *testing.T) {
	f := &fit.Fit{Hypothesis: fit.Hypothesis{Rows: []*fit.Wrong{{Prior: 0.01}, {Prior: 0.1}}}, Evidence: -10, Prior: -20}
	require.InDelta(t, -10+math.Log(0.001), doubt.ReadingsAlone(f), 1e-12)
}

// That the baseline is of another system is as likely as a fit without it, times
// how often that happens.
func TestAnotherSystemByHand(t *testing.T) {
	_, g, x := kit.RuleSearch(t, kit.Sound)
	m := doubt.AnotherSystem(g, x)
	require.InDelta(t, doubt.Averaged(g.S, g.Sound), m.Fits, 0.05)
	require.InDelta(t, m.Fits+math.Log(doubt.AnotherPrior), m.Score, 1e-12)
}
