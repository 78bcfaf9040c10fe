package diagnose

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Where one gate stood open it may have been none, another, or one more; where
// all did, all but one.
func TestWhichOtherGatesMayHaveStoodOpen(t *testing.T) {
	_, g, _ := ruleSearch(t, sound)
	require.Equal(t, []string{"a", "b", "c"}, g.s.m.Sys.Gates())
	seen := 0
	for cfg, c := range g.s.b.configs {
		var got []string
		for _, o := range g.settings(cfg) {
			got = append(got, o.String())
		}
		switch c.open.String() {
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
	_, g, _ := ruleSearch(t, sound)
	require.Empty(t, g.strangeConfigs())
	at := map[string]int{}
	for cfg, c := range g.s.b.configs {
		at[c.open.String()] = cfg
	}
	for open, by := range map[string]float64{"b": 0.8, "c": 0.3} {
		for _, i := range g.s.by[at[open]] {
			g.s.obs[i].y *= by
		}
	}
	g.sound = g.s.fit(hypothesis{}, g.s.before())
	require.True(t, g.sound.ok)
	list := g.strangeConfigs()
	require.NotEmpty(t, list)
	require.Equal(t, at["c"], list[0])
	require.Subset(t, []int{at["a"], at["b"], at["all"]}, list[1:])
}

// Setting a configuration aside costs what it is worth, and each row that was
// wrong elsewhere besides; one that was wrong in it is accounted for.
func TestWhatSettingAsideCosts(t *testing.T) {
	_, g, _ := ruleSearch(t, sound)
	cfg := slices.IndexFunc(g.s.b.configs, func(c config) bool { return c.open.String() == "c" })
	for _, i := range g.s.by[cfg] {
		g.s.obs[i].y *= 0.3
	}
	g.sound = g.s.fit(hypothesis{}, g.s.before())
	in, out := g.s.by[cfg][0], g.s.by[(cfg+1)%len(g.s.by)]
	g.sound.rows = []*wrong{g.s.dropped(in), g.s.dropped(out[0]), g.s.dropped(out[1])}
	f := g.s.afresh(g.setAside(cfg))
	require.True(t, f.ok)
	want := f.evidence + math.Log(gatesPrior/float64(len(g.s.b.configs))) + 2*math.Log(g.s.dropped(out[0]).prior)
	list := g.otherGates(g.page())
	k := slices.IndexFunc(list, func(x misgiven) bool { return strings.HasPrefix(x.doubt, "What was read with c open") })
	require.GreaterOrEqual(t, k, 0)
	require.InDelta(t, want, list[k].score, 0.05)
}
