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
