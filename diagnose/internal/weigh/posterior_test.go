package weigh_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/search"
	"lostair/diagnose/internal/weigh"
)

// A row's probability is the sum over the sets that call it wrong, and a site's
// over those that hold it; ties stand in the order of the list. By hand: weights
// 1, e⁻¹ and e⁻².
func TestProbabilitiesAreSums(t *testing.T) {
	a, b := &fault.Variant{Site: 0, Kind: fault.Leak}, &fault.Variant{Site: 2, Kind: fault.Blockage}
	row := &fit.Wrong{Observation: 3}
	g := &search.Search{Seen: map[string]bool{}, S: &fit.Study{Observation: make([]observe.Observation, 4)},
		Sites: []*fault.Site{{Kind: fault.Leak, Where: "a"}, {Kind: fault.Altered, Where: "b"}, {Kind: fault.Blockage, Where: "c"}, {Kind: fault.FanWeak, Where: "fan"}},
		All: []*fit.Fit{
			{Status: fit.Settled, Evidence: -10},
			{Status: fit.Settled, Evidence: -11, Hypothesis: fit.Hypothesis{Faults: []*fault.Variant{a}, Rows: []*fit.Wrong{row}}},
			{Status: fit.Settled, Evidence: -12, Hypothesis: fit.Hypothesis{Faults: []*fault.Variant{a, b}, Rows: []*fit.Wrong{row}}},
		}}
	p := weigh.PosteriorOf(g, math.Inf(-1))
	scores := []float64{g.All[0].Score(), g.All[1].Score(), g.All[2].Score()}
	w := []float64{1, math.Exp(scores[1] - scores[0]), math.Exp(scores[2] - scores[0])}
	total := w[0] + w[1] + w[2]
	require.InEpsilon(t, (w[1]+w[2])/total, p.Row[3], 1e-9)
	require.InEpsilon(t, (w[1]+w[2])/total, p.Site[0], 1e-9)
	require.InEpsilon(t, w[2]/total, p.Site[2], 1e-9)
	require.InEpsilon(t, w[0]/total, p.Sound(), 1e-9)
	require.Equal(t, []int{0, 2, 3}, p.Order(), "a duct that has changed is no fault")
}

// What puts another value in the place of every reading speaks for no fault; what
// leaves them all out knows as much as before.
func TestGuessesSpeakForNoFault(t *testing.T) {
	a := &fault.Variant{Site: 0, Kind: fault.Leak}
	put, dropped := &fit.Wrong{}, &fit.Wrong{Drop: true}
	set := func(w *fit.Wrong, faults ...*fault.Variant) *fit.Fit {
		return &fit.Fit{Status: fit.Settled, Evidence: -10, Hypothesis: fit.Hypothesis{Faults: faults, Rows: []*fit.Wrong{w}}}
	}
	g := &search.Search{Seen: map[string]bool{}, S: &fit.Study{Observation: make([]observe.Observation, 1)},
		Sites: []*fault.Site{{Kind: fault.Leak, Where: "a"}},
		All:   []*fit.Fit{set(put), set(put, a), set(dropped), set(dropped, a)}}
	p := weigh.PosteriorOf(g, math.Inf(-1))
	require.InEpsilon(t, 1.0/3, p.Site[0], 1e-9)
	require.InEpsilon(t, 2.0/3, p.Sound(), 1e-9)
	g.S.Observation = make([]observe.Observation, 2)
	p = weigh.PosteriorOf(g, math.Inf(-1))
	require.InEpsilon(t, 1.0/2, p.Site[0], 1e-9, "another reading may speak for it")
}

// A severity is that of the sets that hold the site, and of no other.
func TestSeverityIsOfItsOwnSite(t *testing.T) {
	r := kit.NewRules(t)
	res := r.Diagnose(r.Survey(kit.FanAt(0.8), kit.RuleTaps, nil))
	require.NotEmpty(t, res.Faults)
	f := res.Faults[0]
	require.Equal(t, fault.FanWeak, f.Kind)
	require.InDelta(t, 0.8, f.Severity.Value, 0.03)
	require.Greater(t, f.Severity.Low, 0.7)
	require.Less(t, f.Severity.High, 0.9)
	require.LessOrEqual(t, f.Severity.Low, f.Severity.Value)
}

// A severity's interval holds 90 %: from one set it goes 1.645 standard deviations to
// either side (table of the normal distribution), and a set of no weight moves nothing.
func TestSeveritysIntervalHoldsNineInTen(t *testing.T) {
	s, f := kit.FitOf(t)
	other := *f
	other.At.Z = []float64{f.At.Z[0] + 3}
	z, sd := s.SeverityAt(f, 0)
	v := f.Faults[0]
	for _, p := range []*weigh.Posterior{
		{G: &search.Search{S: s}, Sets: []*fit.Fit{f}, Weight: []float64{1}},
		{G: &search.Search{S: s}, Sets: []*fit.Fit{f, &other}, Weight: []float64{1, 1e-9}},
	} {
		got := p.SeverityOf(v.Site)
		ends := []float64{v.Severity(z - 1.6449*sd), v.Severity(z + 1.6449*sd)}
		require.InEpsilon(t, v.Severity(z), got.Value, 1e-4)
		require.InEpsilon(t, min(ends[0], ends[1]), got.Low, 1e-4)
		require.InEpsilon(t, max(ends[0], ends[1]), got.High, 1e-4)
	}
	p := &weigh.Posterior{G: &search.Search{S: s}, Sets: []*fit.Fit{f}, Weight: []float64{1}}
	require.Zero(t, p.SeverityOf(v.Site+1), "no set holds it")
}

// A set that puts another value in a row's place tells its severities as if the row
// had never been read, unless hardly anything speaks for it; a set whose rows are left
// out already, or that has none, stays as it is.
func TestRowsThatAreSetAsideTellNothing(t *testing.T) {
	_, g, _ := kit.RuleSearch(t, kit.FanAt(0.85))
	s := g.S
	row := func(drop bool) []*fit.Wrong {
		o := s.Observation[0]
		return []*fit.Wrong{{Observation: 0, Y: 1.1 * o.Y, Gain: o.Gain, Fresh: o.Fresh, Drop: drop, Cfg: -1}}
	}
	both := append(row(true), &fit.Wrong{Observation: 1, Y: s.Observation[1].Y, Gain: s.Observation[1].Gain, Fresh: s.Observation[1].Fresh, Cfg: -1})
	var list []*fit.Fit
	var before []*fit.Detail
	for _, rows := range [][]*fit.Wrong{row(false), both, row(true), nil, row(false)} {
		f := s.Fit(fit.Hypothesis{Rows: rows}, fit.Point{Theta: s.Pr.Mean})
		require.True(t, f.Ok())
		list, before = append(list, f), append(before, f.Fit)
	}
	p := &weigh.Posterior{G: g, Sets: list, Weight: []float64{0.3, 0.3, 0.2, 0.1, 0.005}}
	p.SetRowsAside()
	for i, anew := range []bool{true, true, false, false, false} {
		require.Equal(t, anew, list[i].Fit != before[i], i)
	}
	require.InDeltaSlice(t, list[2].At.Theta, list[0].At.Theta, 0.02, "as if it had never been read")
	require.Len(t, list[0].Rows, 1, "what the set says of the row stays")
	require.False(t, list[0].Rows[0].Drop)
}
