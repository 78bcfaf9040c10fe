package diagnose

import (
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
