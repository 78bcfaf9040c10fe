package html

import (
	"crypto/sha256"
	"encoding/base64"
	"html"
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"lostair/readings/units"
)

// The policy lets the page's own script run, and no other.
func TestPolicyKnowsTheScript(t *testing.T) {
	page := htmlOf(t, pageful(t, 3, units.Metric), units.Metric)
	scripts := regexp.MustCompile(`(?s)<script>(.*?)</script>`).FindAllStringSubmatch(page, -1)
	require.Len(t, scripts, 1)
	sum := sha256.Sum256([]byte(scripts[0][1]))
	require.Contains(t, html.UnescapeString(page), "script-src 'sha256-"+base64.StdEncoding.EncodeToString(sum[:])+"';")
}

// A port's row lights its way to the collector, and the filter leaves the rows
// that hold its word.
func TestScriptInABrowser(t *testing.T) {
	ctx := browser(t)
	file := filepath.Join(t.TempDir(), "page.html")
	require.NoError(t, os.WriteFile(file, []byte(htmlOf(t, pageful(t, 12, units.Metric), units.Metric)), 0o644))
	o := look(t, ctx, file, screens[2])
	try := func(script string) float64 {
		t.Helper()
		v, err := chromedp.Run(o, chromedp.Evaluate[float64](script))
		require.NoError(t, err)
		return v
	}
	lit := try(`(() => { document.querySelector("details.part .ports").closest("details").open = true;
		document.querySelector(".ports tr[data-port]").focus(); return document.querySelectorAll("svg.tree.wide .pipe.lit").length })()`)
	require.Greater(t, lit, 1.0, "the port's duct and those that it flows into")
	require.Less(t, lit, try(`document.querySelectorAll("svg.tree.wide .pipe[data-d]").length`), "and no others")

	all := try(`document.querySelectorAll(".readings tbody tr").length`)
	some := try(`(() => { const f = document.querySelector("#filter input"); f.value = "planer"; f.dispatchEvent(new Event("input"));
		return document.querySelectorAll(".readings tbody tr:not([hidden])").length })()`)
	require.Positive(t, some)
	require.Less(t, some, all)
	require.Empty(t, o.complaints)
}
