package diagnose_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/airflow"
	"lostair/diagnose/duct/trade"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/route"
	"lostair/readings/units"
)

// smallAt is what is said of the drop of port-a, which needs more than it gets in the
// rules' shop changed so, and what is to be done.
func smallAt(t *testing.T, u units.System, need float64, change ...string) (*kit.Rules, diagnose.TooSmall, diagnose.Fix) {
	t.Helper()
	r := kit.RulesOf(t, strings.NewReplacer(change...).Replace(kit.RuleShop))
	r.Sys.Units, r.Sys.Ports[0].Need = u, need
	res := r.Diagnose(r.Survey(kit.Sound, kit.RuleTaps, nil))
	require.Len(t, res.TooSmall, 1)
	require.Len(t, res.Fixes, 1)
	return r, res.TooSmall[0], res.Fixes[0]
}

const needOfA = 0.45 // m³/s, which port-a gets with 160 mm

// No duct is to be bought that is wider than the one into which it flows, and one that
// still falls short is no remedy.
func TestNothingWiderThanWhatItFlowsInto(t *testing.T) {
	_, wide, fix := smallAt(t, units.Metric, needOfA)
	require.Greater(t, wide.Buy, 0.140)
	require.True(t, wide.Meets)
	require.NotEmpty(t, fix.Gains)

	r, narrow, fix := smallAt(t, units.Metric, needOfA, "into: collector, diameter: 180", "into: collector, diameter: 140")
	require.Greater(t, narrow.Buy, 0.110)
	require.LessOrEqual(t, narrow.Buy, r.Sys.Ducts[r.Duct("main")].Diameter)
	require.False(t, narrow.Meets)
	require.Empty(t, fix.Gains)

	_, none, fix := smallAt(t, units.Metric, needOfA, "into: collector, diameter: 180", "into: collector, diameter: 110")
	require.Zero(t, none.Buy)
	require.Empty(t, none.Ducts)
	require.Nil(t, fix.Small)
}

// Hose is bought in sizes in which it is sold.
func TestHoseIsBoughtInItsSizes(t *testing.T) {
	for _, u := range []units.System{units.Metric, units.US} {
		for _, x := range trade.HoseSizes(u) {
			require.Contains(t, trade.Sizes(u), x)
		}
	}
	wideMain := []string{"into: collector, diameter: 180", "into: collector, diameter: 250"}
	_, pipe, _ := smallAt(t, units.US, 0.52, append(wideMain, "material: flexible, taps: {A1", "material: spiral, taps: {A1")...)
	require.InDelta(t, 7*0.0254, pipe.Buy, 1e-9)
	_, hose, _ := smallAt(t, units.US, 0.52, wideMain...)
	require.Contains(t, hose.Ducts, "hose-a")
	require.InDelta(t, 8*0.0254, hose.Buy, 1e-9)
}

// Of a wider duct in which dust would settle it is said how slow the air gets.
func TestASlowerDuctIsTold(t *testing.T) {
	_, fast, _ := smallAt(t, units.Metric, needOfA)
	require.Nil(t, fast.Slow)

	r, slow, _ := smallAt(t, units.Metric, needOfA, "instruments:", "limits: {conveying_velocity: {branch: 32, main: 10}}\ninstruments:")
	require.True(t, slow.Meets)
	require.NotNil(t, slow.Slow)
	require.Contains(t, slow.Ducts, slow.Slow.Duct)
	require.InDelta(t, 32, slow.Slow.Least, 1e-9)
	require.Less(t, slow.Slow.Velocity, slow.Slow.Least)
	area := math.Pi / 4 * slow.Buy * slow.Buy
	require.InEpsilon(t, slow.Then.Value/area, slow.Slow.Velocity, 0.05)
	now := airflow.FlowOf(r.Sys, 0, route.Alone(r.M, 0)) / (math.Pi / 4 * 0.11 * 0.11)
	require.Greater(t, now, 32.0, "it carries its dust now")
}
