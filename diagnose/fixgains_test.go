package diagnose_test

import (
	"sort"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/route"
	"lostair/readings"
)

const ruleSettings = "settings: [all, a, b+c]\ninstruments:"

// flowsOf are the ports' flows of a shop with this hurt, by setting and port.
func flowsOf(t *testing.T, r *kit.Rules, h kit.Hurt, settings ...string) map[string]float64 {
	t.Helper()
	out := map[string]float64{}
	for _, open := range settings {
		x, err := readings.ParseOpen(open)
		require.NoError(t, err)
		cfg, err := r.M.Configure(x.All, x.Gates, nil)
		require.NoError(t, err)
		c := r.M.Coefs()
		h(r, &c)
		s := r.M.NewState()
		require.NoError(t, s.Solve(&c, cfg))
		for i, p := range r.Sys.Ports {
			if route.Reach(r.M, cfg)[i] {
				out[x.String()+" "+p.ID] = s.PortFlow(i)
			}
		}
	}
	return out
}

// gainsAre holds that gains are those that the repair truly brings: every port in every
// setting that gets more by over 0.5 %, and no other, the largest first.
func gainsAre(t *testing.T, now, then map[string]float64, got []diagnose.Gain) {
	t.Helper()
	want := 0
	for k := range now {
		if by := then[k] - now[k]; by > 0.005*now[k] {
			want++
		}
	}
	require.Len(t, got, want)
	for _, g := range got {
		k := g.Open.String() + " " + g.Port
		require.InEpsilon(t, now[k], g.Before, 0.02, k)
		require.InEpsilon(t, then[k], g.After.Value, 0.02, k)
		require.InEpsilon(t, then[k]-now[k], g.After.Value-g.Before, 0.2, k)
		require.Less(t, g.After.Low, g.After.Value, k)
		require.Greater(t, g.After.High, g.After.Value, k)
		require.Less(t, g.After.High-g.After.Low, 0.2*g.After.Value, k)
	}
	require.True(t, sort.SliceIsSorted(got, func(a, b int) bool {
		return got[a].After.Value-got[a].Before > got[b].After.Value-got[b].Before
	}))
}

// What a fix is said to bring is what the plant gives with that fault mended and all
// else left, and what all fixes bring is what the sound plant gives.
func TestFixGainsAreWhatTheRepairBrings(t *testing.T) {
	for _, x := range []struct {
		name  string
		hurts map[fault.Kind]kit.Hurt
	}{
		{"a gate", map[fault.Kind]kit.Hurt{fault.GateRestricted: kit.GateAt("b", 0.4)}},
		{"the fan", map[fault.Kind]kit.Hurt{fault.FanWeak: kit.FanAt(0.85)}},
		{"both", map[fault.Kind]kit.Hurt{fault.GateRestricted: kit.GateAt("b", 0.4), fault.FanWeak: kit.FanAt(0.85)}},
	} {
		t.Run(x.name, func(t *testing.T) {
			r := kit.RulesOf(t, strings.Replace(kit.RuleShop, "instruments:", ruleSettings, 1))
			all := func(without fault.Kind) kit.Hurt {
				return func(r *kit.Rules, c *airflow.Coefs) {
					for k, h := range x.hurts {
						if k != without {
							h(r, c)
						}
					}
				}
			}
			settings := []string{"all", "a", "b+c"}
			res := r.Diagnose(r.Survey(all(fault.ReadingWrong), kit.RuleTaps, nil))
			require.Len(t, res.Faults, len(x.hurts), kit.Said(res))
			now := flowsOf(t, r, all(fault.ReadingWrong), settings...)
			for _, f := range res.Faults {
				require.Contains(t, x.hurts, f.Kind, kit.Said(res))
				gainsAre(t, now, flowsOf(t, r, all(f.Kind), settings...), f.Fix.Gains)
			}
			require.Len(t, res.Fixes, len(x.hurts))
			if len(x.hurts) < 2 {
				require.Empty(t, res.AllFixed, "the one fix says it")
				return
			}
			gainsAre(t, now, flowsOf(t, r, kit.Sound, settings...), res.AllFixed)
		})
	}
}
