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
			{Ok: true, Evidence: -10},
			{Ok: true, Evidence: -11, Hypothesis: fit.Hypothesis{Faults: []*fault.Variant{a}, Rows: []*fit.Wrong{row}}},
			{Ok: true, Evidence: -12, Hypothesis: fit.Hypothesis{Faults: []*fault.Variant{a, b}, Rows: []*fit.Wrong{row}}},
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
		return &fit.Fit{Ok: true, Evidence: -10, Hypothesis: fit.Hypothesis{Faults: faults, Rows: []*fit.Wrong{w}}}
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
