package diagnose_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/verify"
	"lostair/readings"
	"lostair/readings/units"
)

// narrow is the rules' shop as it was built, with a hose of 80 mm where its page has
// 110, and what is read in it.
func narrow(t *testing.T, more string) (*kit.Rules, *readings.Survey) {
	t.Helper()
	const hose = "{id: hose-b, into: drop-b, diameter: 110"
	require.Contains(t, kit.RuleShop, hose)
	built := kit.RulesOf(t, strings.Replace(kit.RuleShop, hose, strings.Replace(hose, "110", "80", 1), 1))
	s := built.Survey(kit.Sound, kit.RuleTaps, nil)
	looks, bad := readings.Load(strings.NewReader("open,point,quantity,value,unit\n"+
		"all,A1,static_pressure,-1,Pa\n"+more), "looks.csv", units.Metric)
	require.NoError(t, bad.Err())
	s.Looks = looks.Looks
	return kit.NewRules(t), s
}

func acrossRow(duct string, mm float64) string {
	return fmt.Sprintf("none,%s,inside_diameter,%g,mm\n", duct, mm)
}

func sizesOf(r *diagnose.Result) []string {
	var out []string
	for _, w := range r.Page {
		if w.Kind == fault.AsBuilt && w.Behaves.Quantity == "diameter" {
			out = append(out, fmt.Sprintf("%s %.3g", w.Where, 1000*w.Behaves.Value))
		}
	}
	return out
}

// A duct that was measured across is worked out as wide as it measures: what is read in
// a shop with a narrow hose is then that of the same shop with the right page, and the
// page is told to be wrong. Where a duct measures what its page says no other size of it
// is thought of.
func TestMeasuredAcross(t *testing.T) {
	of := func(r *kit.Rules, s *readings.Survey) *diagnose.Result {
		res, err := diagnose.Diagnose(context.Background(), r.Sys, s, diagnose.Options{})
		require.NoError(t, err)
		return res
	}
	page, unknown := narrow(t, "")
	before := of(page, unknown)
	require.NotEmpty(t, before.Next)
	assert.Contains(t, sizesOf(before), "hose-b 80")

	_, measured := narrow(t, acrossRow("hose-b", 79)+acrossRow("hose-b", 81))
	now := of(page, measured)
	right := of(kit.RulesOf(t, strings.Replace(kit.RuleShop, "{id: hose-b, into: drop-b, diameter: 110", "{id: hose-b, into: drop-b, diameter: 80", 1)), measured)
	assert.Equal(t, diagnose.Clear, now.Verdict)
	assert.InDelta(t, right.Sound, now.Sound, 1e-9)
	require.Len(t, now.Ports, len(right.Ports))
	for i := range now.Ports {
		assert.InEpsilon(t, right.Ports[i].Flow.Value, now.Ports[i].Flow.Value, 1e-9)
	}
	require.NotEmpty(t, now.Page)
	assert.Equal(t, []string{"hose-b 80"}, sizesOf(now)[:1])
	assert.Equal(t, fault.ByMeasure, now.Page[0].Reason)
	assert.GreaterOrEqual(t, now.Mistaken, diagnose.BoreSure)
	assert.InDelta(t, 0.110, page.Sys.Ducts[page.Duct("hose-b")].Diameter, 1e-12, "the page that was given stays")

	_, asWritten := narrow(t, acrossRow("hose-b", 111))
	for _, s := range sizesOf(of(page, asWritten)) {
		assert.NotContains(t, s, "hose-b")
	}
}

// Of several surveys of a new install the looks count as well.
func TestMeasuredAcrossInOneOfSeveral(t *testing.T) {
	page, measured := narrow(t, acrossRow("hose-b", 80))
	_, first := narrow(t, "")
	first.File, first.Looks = "first.csv", nil
	first.Rows, first.Readings = first.Rows[:10], first.Readings[:10]
	v, err := verify.Verify(context.Background(), page.Sys, []*readings.Survey{first, measured}, verify.Options{})
	require.NoError(t, err)
	require.NotEmpty(t, v.Result.Page)
	assert.Equal(t, fault.ByMeasure, v.Result.Page[0].Reason)
	assert.Same(t, page.Sys, v.System)
}
