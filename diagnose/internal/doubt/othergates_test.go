package doubt_test

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/doubt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/search"
)

// Where one gate stood open it may have been none, another, or one more; where
// all did, all but one.
func TestWhichOtherGatesMayHaveStoodOpen(t *testing.T) {
	_, g, _ := kit.RuleSearch(t, kit.Sound)
	require.Equal(t, []string{"a", "b", "c"}, g.S.M.Sys.Gates())
	seen := 0
	for cfg, c := range g.S.B.Configs {
		var got []string
		for _, o := range doubt.Settings(g, cfg) {
			got = append(got, o.String())
		}
		switch c.Open.String() {
		case "b":
			require.ElementsMatch(t, []string{"none", "a", "c", "a+b", "b+c"}, got)
		case "all":
			require.ElementsMatch(t, []string{"a+b", "a+c", "b+c"}, got)
		default:
			continue
		}
		seen++
	}
	require.Equal(t, 2, seen)
}

// The configuration that lies furthest off is looked at first, and none that
// goes with the rest.
func TestStrangestConfigurationFirst(t *testing.T) {
	_, g, _ := kit.RuleSearch(t, kit.Sound)
	require.Empty(t, doubt.StrangeConfigs(g))
	at := map[string]int{}
	for cfg, c := range g.S.B.Configs {
		at[c.Open.String()] = cfg
	}
	for open, by := range map[string]float64{"b": 0.8, "c": 0.3} {
		for _, i := range g.S.By[at[open]] {
			g.S.Observation[i].Y *= by
		}
	}
	g.Sound = g.S.Fit(fit.Hypothesis{}, g.S.Before())
	require.True(t, g.Sound.Ok())
	list := doubt.StrangeConfigs(g)
	require.NotEmpty(t, list)
	require.Equal(t, at["c"], list[0])
	require.Subset(t, []int{at["a"], at["b"], at["all"]}, list[1:])
}

// Setting a configuration aside costs what it is worth, and each row that was
// wrong elsewhere besides; one that was wrong in it is accounted for.
func TestWhatSettingAsideCosts(t *testing.T) {
	_, g, _ := kit.RuleSearch(t, kit.Sound)
	cfg := slices.IndexFunc(g.S.B.Configs, func(c observe.Gates) bool { return c.Open.String() == "c" })
	for _, i := range g.S.By[cfg] {
		g.S.Observation[i].Y *= 0.3
	}
	g.Sound = g.S.Fit(fit.Hypothesis{}, g.S.Before())
	in, out := g.S.By[cfg][0], g.S.By[(cfg+1)%len(g.S.By)]
	g.Sound.Rows = []*fit.Wrong{search.Dropped(g.S, in), search.Dropped(g.S, out[0]), search.Dropped(g.S, out[1])}
	f := g.S.Afresh(doubt.SetAside(g, cfg))
	require.True(t, f.Ok())
	want := f.Evidence + math.Log(doubt.GatesPrior/float64(len(g.S.B.Configs))) + 2*math.Log(search.Dropped(g.S, out[0]).Prior)
	list := doubt.OtherGates(g, doubt.Page(g))
	k := slices.IndexFunc(list, func(x doubt.DataError) bool { return x.Doubt == fault.Doubt{Kind: fault.GatesDiffer, Open: "c"} })
	require.GreaterOrEqual(t, k, 0)
	require.InDelta(t, want, list[k].Score, 0.05)
}
