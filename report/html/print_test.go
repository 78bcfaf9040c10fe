package html

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/readings"
	"lostair/readings/units"
	"lostair/report"
)

// What to do comes first on the page of a large plant, what is as it should be
// is left out in print and said to be, and a setting of many gates is called by
// its number; the page of a shop stays as it is.
func TestLargePlantsPrintWhatMatters(t *testing.T) {
	page := func(ports int) (string, []string) {
		d := pageful(t, ports, units.Metric)
		many := readings.Open{Gates: d.System.Gates()[:ports-1]}
		d.Checks[0].Reading.Open = many
		var b strings.Builder
		require.NoError(t, Write(&b, d, units.Metric))
		return strings.ReplaceAll(b.String(), "&#43;", "+"), many.Gates
	}
	big, gates := page(report.MostPorts + 20)
	require.NotContains(t, big, "gates "+strings.Join(gates, " + "))
	require.Contains(t, big, "setting 1, ")
	require.Equal(t, 1, strings.Count(big, strings.Join(gates, " + ")), "the setting stands once, in the list")
	require.Contains(t, big, "Left out in print: ")
	require.Contains(t, big, "The drawing of all ducts", "it is folded")
	require.Contains(t, big, `<pre class="way-down"`, "and the way to the suspects is drawn in characters")
	inOrder(t, big)

	small, _ := page(6)
	require.NotContains(t, small, "left out in print")
	require.NotContains(t, small, "Left out in print")
	require.NotContains(t, small, " calm")
	require.NotContains(t, small, `<pre class="way-down"`)
	inOrder(t, small)
}

// inOrder: the answer, where, what to do, what to read, cautions, then evidence.
func inOrder(t *testing.T, page string) {
	t.Helper()
	last := -1
	for _, id := range []string{"verdict", "where", "do", "read", "ports", "cautions", "evidence"} {
		at := strings.Index(page, `id="`+id+`"`)
		if at < 0 && (id == "read" || id == "do") {
			continue // nothing to read or do
		}
		require.Greater(t, at, last, id)
		last = at
	}
}

// A drawing too large for the first page of paper gives way to an overview: what leads to
// suspects, the rest folded; the whole comes later, and no mark is named twice.
func TestALargeDrawingHasAnOverview(t *testing.T) {
	page := func(ports int) string {
		var b strings.Builder
		require.NoError(t, Write(&b, pageful(t, ports, units.Metric), units.Metric))
		return b.String()
	}
	shop := page(3)
	require.NotContains(t, shop, "tree-over-")
	plant := page(40)
	require.Contains(t, plant, "ports, folded")
	over, whole := strings.Index(plant, `id="tree-over-wide-1-t"`), strings.Index(plant, `id="tree-wide-1-t"`)
	require.Positive(t, over)
	require.Greater(t, whole, strings.Index(plant, `id="evidence"`), "the whole drawing is evidence")
	require.Less(t, over, strings.Index(plant, `id="ports"`))
	ids := map[string]bool{}
	for _, m := range regexp.MustCompile(` id="([^"]*)"`).FindAllStringSubmatch(plant, -1) {
		require.False(t, ids[m[1]], "%s is twice on the page", m[1])
		ids[m[1]] = true
	}
}
