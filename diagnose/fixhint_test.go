package diagnose_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/airflow"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/route"
)

// A smaller change is named in place of a wider duct if by the page it brings the port
// what it needs: the first of half the hose, pipe in place of the hose, and easy bends.
// What each brings is worked out here from a page on which it is written.
func TestFixHintsAreEnoughByThemselves(t *testing.T) {
	const hose = "{id: hose-a, into: drop-a, diameter: 110, length: 6, material: flexible}"
	const drop = "{id: drop-a, into: main, enters: straight, diameter: 110, length: 3, material: spiral, gate: a, taps: {A2: 2.6}, fittings: [{elbow: 90, radius: 1}, {elbow: 90, radius: 1}]}"
	page := func(hose, drop string) string {
		return strings.NewReplacer("{id: hose-a, into: drop-a, diameter: 110, length: 1.5, material: flexible, taps: {A1: 0.4}}", hose,
			"{id: drop-a, into: main, enters: straight, diameter: 110, length: 3, material: spiral, gate: a, taps: {A2: 2.6}}", drop).Replace(kit.RuleShop)
	}
	flow := func(text string) float64 {
		r := kit.RulesOf(t, text)
		return airflow.FlowOf(r.Sys, 0, route.Alone(r.M, 0))
	}
	easy := strings.ReplaceAll(drop, "radius: 1", "radius: 2.5")
	pipe := strings.Replace(hose, "flexible", "pvc", 1)
	half := strings.Replace(hose, "length: 6", "length: 3", 1)
	hintAt := func(text string, need float64) diagnose.Hint {
		r := kit.RulesOf(t, text)
		r.Sys.Ports[0].Need = need
		taps := []string{"A2", "B1", "B2", "C1", "C2", "M", airflow.CollectorInlet, airflow.FanInlet, airflow.FilterPoint}
		res, err := diagnose.Diagnose(t.Context(), r.Sys, r.Survey(kit.Sound, taps, nil), diagnose.Options{})
		require.NoError(t, err)
		require.Len(t, res.TooSmall, 1, kit.Said(res))
		require.Equal(t, "port-a", res.TooSmall[0].Port)
		for _, f := range res.Fixes {
			if f.Small != nil {
				return f.Hint
			}
		}
		require.Fail(t, "nothing is said to be too small", kit.Said(res))
		return diagnose.NoHint
	}
	now := flow(page(hose, drop))
	byHalf, byPipe, byBends := flow(page(half, drop)), flow(page(pipe, drop)), flow(page(hose, easy))
	t.Log(now, byHalf, byPipe, byBends)
	require.Less(t, now*1.03, byHalf)
	require.Less(t, byHalf*1.03, byPipe, "else the page shows nothing")
	require.Equal(t, diagnose.HalfTheHose, hintAt(page(hose, drop), byHalf*0.985))
	require.Equal(t, diagnose.PipeForHose, hintAt(page(hose, drop), byHalf*1.015))
	require.Equal(t, diagnose.PipeForHose, hintAt(page(hose, drop), byPipe*0.985))
	require.Equal(t, diagnose.NoHint, hintAt(page(hose, drop), byPipe*1.03))
	require.Less(t, flow(page(pipe, drop))*1.02, flow(page(pipe, easy)))
	require.Equal(t, diagnose.EasyBends, hintAt(page(pipe, drop), flow(page(pipe, easy))*0.99), "there is no hose")
	require.Equal(t, diagnose.NoHint, hintAt(page(pipe, easy), flow(page(pipe, easy))*1.04), "nothing is left to change")
	// Bends in the main count as well: they lie on the port's way.
	bent := func(radius string) string {
		return strings.Replace(page(pipe, easy), "length: 4, material: spiral, taps: {M: 2}", "length: 4, material: spiral, taps: {M: 2}, fittings: [{elbow: 90, radius: "+radius+", count: 9}]", 1)
	}
	require.Less(t, flow(bent("1"))*1.02, flow(bent("2.5")))
	require.Equal(t, diagnose.EasyBends, hintAt(bent("1"), flow(bent("2.5"))*0.995))
	// A tap stands in what would be changed: where it went is not known.
	tapped := strings.Replace(hose, "flexible}", "flexible, taps: {A1: 0.4}}", 1)
	require.NotEqual(t, diagnose.HalfTheHose, hintAt(page(tapped, drop), byHalf*0.985))
}

// What would be changed is tried on a copy: the system stays as its owner wrote it, one
// duct long or more.
func TestFixHintsLeaveTheSystemAlone(t *testing.T) {
	const page = `
units: metric
collector:
  inlet: 125
  fan: {curve: [[0, 2700], [900, 2400], [1800, 0]]}
ducts:
  - {id: hose, into: collector, diameter: 125, length: 6, material: flexible, fittings: [{elbow: 90, radius: 1}]}
ports:
  - {id: saw, duct: hose, hood: 1, need: 1500}
instruments:
  - {id: gauge, measures: pressure, of_reading: 1%, floor: 3 Pa}
`
	r, as := kit.RulesOf(t, page), kit.RulesOf(t, page)
	res, err := diagnose.Diagnose(t.Context(), r.Sys, r.SurveyIn([]string{"all"}, kit.Sound, []string{airflow.CollectorInlet}, nil), diagnose.Options{})
	require.NoError(t, err)
	require.Len(t, res.TooSmall, 1, kit.Said(res))
	require.Equal(t, as.Sys, r.Sys)
}
