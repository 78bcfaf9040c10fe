package diagnose

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// ruleSearch is a search of a survey of the rules' shop, the sound system fitted.
func ruleSearch(t *testing.T, h hurt) (*rules, *search, *given) {
	r := newRules(t)
	b, bad := bind(r.m, r.survey(h, ruleTaps, nil))
	require.NoError(t, bad.Err())
	u := newUnknowns(r.m)
	l := newLayout(u, b)
	s := newStudy(r.m, u, l, b, prior{mean: make([]float64, l.n), scale: 1})
	g := newSearch(s, sites(r.m), s.wrongRows())
	f := s.fit(hypothesis{}, point{theta: s.pr.mean})
	require.True(t, f.ok)
	g.sound, g.all = f, []*fitted{f}
	return r, g, &given{m: r.m, u: u, l: l, survey: b}
}

// Air of a port passes the ducts below it, if its gate is open.
func TestWhichDuctsAirPasses(t *testing.T) {
	r, g, _ := ruleSearch(t, sound)
	page := g.page()
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
		for d := range r.sys.Ducts {
			id := r.sys.Ducts[d].ID
			require.Equal(t, passed[open][id], page.through(r.m, k, d), "%s open, %s", open, id)
		}
	}
}

// How badly a survey fits another diameter is found by solving only where that
// diameter counts; solving everything says the same.
func TestMisfitSolvesWhatMatters(t *testing.T) {
	r, g, x := ruleSearch(t, sound)
	page := g.page()
	for _, c := range []struct {
		duct string
		d    float64
	}{{"hose-b", 0.1}, {"drop-c", 0.125}, {"main", 0.2}} {
		w := &resized{duct: r.duct(c.duct), d: c.d}
		w.bound, w.m = x.withDiameter(w.duct, c.d)
		require.NotNil(t, w.bound)
		got := page.misfit(w)

		res := mat.NewVecDense(len(w.bound.obs), nil)
		co := w.m.Coefs()
		for i, o := range w.bound.obs {
			st := w.m.NewState()
			require.NoError(t, st.Solve(&co, w.bound.configs[o.cfg].Config))
			res.SetVec(i, o.y-st.Value(o.probe))
		}
		a := mat.NewVecDense(len(w.bound.obs), nil)
		require.NoError(t, page.chol.SolveVecTo(a, res))
		want := mat.Dot(res, a)
		require.Greater(t, want, 20.0, "%s: the diameter counts", c.duct)
		require.InEpsilon(t, want, got, 0.05, c.duct)
		require.False(t, math.IsInf(got, 0))
	}
}

// A row that was set aside is taken back if the readings fit as well with it.
func TestNothingIsLeftOutThatNeedNot(t *testing.T) {
	_, g, _ := ruleSearch(t, sound)
	w := g.s.dropped(3)
	f := g.s.cleaned(hypothesis{rows: []*wrong{w}})
	require.True(t, f.ok)
	require.Empty(t, f.rows)
	require.Greater(t, f.score(), g.s.fitWithout(hypothesis{rows: []*wrong{w}}).score()+1)

	g.s.obs[3].y *= 5
	f = g.s.cleaned(hypothesis{rows: []*wrong{w}})
	require.Len(t, f.rows, 1)
	require.Equal(t, 3, f.rows[0].obs)
}

// With the fan at rest each reading is what its instrument shows of nought, by
// the density of the normal distribution, or a row of which nothing is known.
func TestTheFanAtRestByDensity(t *testing.T) {
	_, g, _ := ruleSearch(t, sound)
	want := math.Log(stillPrior)
	for i := range g.s.obs {
		o := &g.s.obs[i]
		o.y = 0.3 * float64(i%3)
		w := g.s.dropped(i)
		sd := o.valued(0, g.s.b.survey.Readings[o.reading].Quantity, g.s.m.Air.Density).sd
		want += math.Log(distuv.Normal{Sigma: sd}.Prob(o.y) + w.prior*math.Exp(w.log))
	}
	require.InDelta(t, want, g.stoodStill().score, 1e-9)
}

// What is wrong beside a misread column stays so; in it all rows slip alike.
func TestASlippedColumnLeavesTheRest(t *testing.T) {
	_, g, _ := ruleSearch(t, sound)
	g.sound.rows = []*wrong{g.s.dropped(0), g.s.dropped(5)}
	x := g.slipped([]int{5, 6}, slip{factor: 2, prior: 0.1})
	require.Len(t, x.h.rows, 3)
	require.Same(t, g.sound.rows[0], x.h.rows[0])
	for k, i := range []int{5, 6} {
		w := x.h.rows[k+1]
		require.Equal(t, i, w.obs)
		require.False(t, w.drop)
		require.InDelta(t, 2*g.s.obs[i].y, w.y, 1e-9)
		require.InDelta(t, math.Log(2), w.log, 1e-12)
	}
}

// How well a set fits counts its wrong rows for what they are worth, and not its faults.
func TestReadingsAlone(t *testing.T) {
	f := &fitted{hypothesis: hypothesis{rows: []*wrong{{prior: 0.01}, {prior: 0.1}}}, evidence: -10, prior: -20}
	require.InDelta(t, -10+math.Log(0.001), f.readingsAlone(), 1e-12)
}

// That the baseline is of another system is as likely as a fit without it, times
// how often that happens.
func TestAnotherSystemByHand(t *testing.T) {
	_, g, x := ruleSearch(t, sound)
	m := g.anotherSystem(x)
	require.InDelta(t, g.s.averaged(g.sound), m.fits, 0.05)
	require.InDelta(t, m.fits+math.Log(anotherPrior), m.score, 1e-12)
}
