package html

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/accessibility"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/fault"
	"lostair/diagnose/next"
	"lostair/readings/units"
	"lostair/report/samples"
	"lostair/report/sheet"
)

// browser starts a headless Chromium; the test is skipped if there is none.
// With LOSTAIR_PICTURES=folder every page is also kept there as a picture.
func browser(t *testing.T) context.Context {
	t.Helper()
	if os.Getenv("LOSTAIR_LONG")+os.Getenv("LOSTAIR_PICTURES") == "" {
		t.Skip("skipped: pages are rendered in a browser with LOSTAIR_LONG=1")
	}
	path := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome", "google-chrome-stable"} {
		if p, err := exec.LookPath(name); err == nil {
			path = p
			break
		}
	}
	if path == "" {
		t.Skip("skipped: no Chromium found in PATH (on Debian: apt-get install chromium); the pages were NOT looked at in a browser")
	}
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.UserDataDir(t.TempDir()), chromedp.DisableGPU,
		chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true), chromedp.Flag("hide-scrollbars", true))
	if os.Geteuid() == 0 {
		opts = append(opts, chromedp.NoSandbox)
	}
	alloc, cancel := chromedp.NewExecAllocator(context.Background(), opts...)
	ctx, cancel2 := chromedp.NewContext(alloc)
	t.Cleanup(func() { cancel2(); cancel() })
	require.NoError(t, chromedp.Do(ctx), "the browser at %s does not start", path)
	ctx, cancel3 := context.WithTimeout(ctx, 8*time.Minute)
	t.Cleanup(cancel3)
	return ctx
}

// screen is a way to look at a page.
type screen struct {
	name          string
	width, height int64
	phone         bool
	print         bool
	dark          bool
}

var screens = []screen{
	{name: "phone", width: 360, height: 740, phone: true},
	{name: "small", width: 320, height: 568, phone: true},
	{name: "desk", width: 1280, height: 900},
	{name: "dark", width: 1280, height: 900, dark: true},
	{name: "a4", width: 688, height: 1017, print: true},     // 210 × 297 mm at 96 dpi, less margins of 14 mm
	{name: "letter", width: 710, height: 950, print: true},  // 8.5 × 11 in
	{name: "tablet", width: 660, height: 900, phone: false}, // just above the phone's layout
}

// pageful makes what the page shows worth looking at: a leak, what looks like
// it, a wrong row and an undersized drop.
func pageful(t testing.TB, ports int, u units.System) *diagnose.Result {
	s := samples.BigShop(t, ports, u)
	sv := samples.Simulated(t, s, samples.LeakAt(t, "planer-drop", 25e-4))
	r := samples.Sketched(t, s, sv, samples.DemoFaults(sv)...)
	r.Checks[4].Wrong = true
	r.Next = []next.Step{{Point: "T-planer", Quantity: units.StaticPressure, Open: samples.Gate("planer"), Bits: 0.4, Minutes: 3,
		Tells: []next.Explanation{{Kind: fault.Leak, Where: "planer-drop"}, {Kind: fault.Leak, Where: "planer-hose"}}}}
	r.Doubts = []fault.Doubt{{Kind: fault.NoBaseline}}
	return r
}

// TestLargePageOpens loads a page on 300 ports in the browser, holds it to its
// size, and logs how long that took.
func TestLargePageOpens(t *testing.T) {
	ctx := browser(t)
	file := filepath.Join(t.TempDir(), "large.html")
	page := htmlOf(t, pageful(t, 300, units.Metric), units.Metric)
	assert.Less(t, len(page), 2<<20, "bytes")
	require.NoError(t, os.WriteFile(file, []byte(page), 0o644))
	o := look(t, ctx, file, screens[2])
	const took = `(() => { const n = performance.getEntriesByType("navigation")[0]; return n.loadEventEnd - n.startTime })()`
	ms, err := chromedp.Run(o, chromedp.Evaluate[float64](took))
	require.NoError(t, err)
	assert.Positive(t, ms)
	t.Logf("300 ports: %d bytes, loaded in %.0f ms", len(page), ms)
	keepPicture(t, o, "report-300-"+screens[2].name)
	pdf, err := chromedp.Run(o, chromedp.PrintToPDF())
	require.NoError(t, err)
	assert.Less(t, bytes.Count(pdf, []byte("/Type /Page\n")), 45, "pages of paper")
}

// tab is a page opened in the browser, with all it complained of and fetched.
type tab struct {
	context.Context
	mu                   sync.Mutex
	complaints, requests []string
}

func (o *tab) hear(ev any) {
	o.mu.Lock()
	defer o.mu.Unlock()
	switch e := ev.(type) {
	case *runtime.EventConsoleAPICalled:
		o.complaints = append(o.complaints, fmt.Sprintf("console %s", e.Type))
	case *runtime.EventExceptionThrown:
		o.complaints = append(o.complaints, e.ExceptionDetails.Text)
	case *log.EventEntryAdded:
		o.complaints = append(o.complaints, e.Entry.Text)
	case *network.EventRequestWillBeSent:
		o.requests = append(o.requests, e.Request.URL)
	}
}

// look opens a page.
func look(t *testing.T, ctx context.Context, file string, s screen) *tab {
	c, cancel := chromedp.NewContext(ctx)
	t.Cleanup(cancel)
	o := &tab{Context: c}
	require.NoError(t, chromedp.Listen(c, o.hear))
	media := emulation.SetEmulatedMediaParams{}
	if s.print {
		media.Media = "print"
	}
	if s.dark {
		media.Features = []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: "dark"}}
	}
	require.NoError(t, call(c, network.Enable, network.EnableParams{}))
	require.NoError(t, call(c, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{Width: s.width, Height: s.height, DeviceScaleFactor: 1, Mobile: s.phone}))
	require.NoError(t, call(c, emulation.SetEmulatedMedia, media))
	require.NoError(t, chromedp.Do(c, chromedp.Navigate("file://"+file)))
	return o
}

func call[P, R any](ctx context.Context, cmd cdp.Command[P, R], params P) error {
	_, err := chromedp.Call(ctx, cmd, params)
	return err
}

// wrongOnPage looks for labels that meet, and for whatever is cut off.
const wrongOnPage = `(() => {
  const bad = [], visible = e => e.getClientRects().length > 0, say = e => e.tagName + " " + (e.textContent || "").trim().slice(0, 40);
  const heard = e => e.closest(".sr") || (e.closest("thead") && getComputedStyle(e.closest("thead")).clipPath !== "none"); // for screen readers only
  const root = document.documentElement;
  if (root.scrollWidth > root.clientWidth) bad.push("page is wider than the screen: " + root.scrollWidth + " > " + root.clientWidth);
  for (const e of document.querySelectorAll("body *")) {
    if (!visible(e) || heard(e)) continue;
    const b = e.getBoundingClientRect();
    if (b.width > 0 && (b.right > root.clientWidth + 1 || b.left < -1)) bad.push("cut off: " + say(e) + " to " + b.right);
    if (e.scrollWidth > e.clientWidth + 1 && getComputedStyle(e).overflowX === "hidden") bad.push("clipped: " + say(e));
  }
  let labels = 0;
  for (const svg of document.querySelectorAll("svg.tree, svg:not([aria-hidden])")) {
    if (!visible(svg)) continue;
    const edge = svg.getBoundingClientRect();
    const text = [...svg.querySelectorAll("text")].map(e => [e, e.getBoundingClientRect()]).sort((a, b) => a[1].top - b[1].top);
    labels += text.length;
    for (let i = 0; i < text.length; i++) {
      const [e, a] = text[i];
      if (a.right > edge.right + .5 || a.left < edge.left - .5 || a.bottom > edge.bottom + .5 || a.top < edge.top - .5) bad.push("label leaves the drawing: " + say(e));
      for (let j = i + 1; j < text.length && text[j][1].top < a.bottom; j++) {
        const b = text[j][1];
        const w = Math.min(a.right, b.right) - Math.max(a.left, b.left), h = Math.min(a.bottom, b.bottom) - b.top;
        if (w > .5 && h > 1.5) bad.push("labels meet: " + say(e) + " / " + say(text[j][0]) + " by " + w.toFixed(1) + " × " + h.toFixed(1));
      }
    }
  }
  const shut = [...document.querySelectorAll("details:not([open])")]; // a key's picture is as large as it says, folded away or not
  for (const d of shut) d.open = true;
  for (const e of document.querySelectorAll("svg[width]")) {
    const b = e.getBoundingClientRect();
    if (b.width > 0 && Math.abs(b.width - e.getAttribute("width")) > 1) bad.push("stretched: a picture in " + say(e.parentElement) + ": " + b.width);
  }
  for (const d of shut) d.open = false;
  if (labels < 3) bad.push("the drawing has no labels: " + labels);
  return bad.slice(0, 20);
})()`

func TestPagesInABrowser(t *testing.T) {
	ctx := browser(t)
	dir := t.TempDir()
	type shop struct {
		ports int
		units units.System
	}
	shops := []shop{{3, units.Metric}, {12, units.US}, {40, units.Metric}}
	if os.Getenv("LOSTAIR_PICTURES") != "" { // who looks sees each in the other units too
		shops = append(shops, shop{3, units.US}, shop{12, units.Metric}, shop{40, units.US})
	}
	for _, c := range shops {
		r := pageful(t, c.ports, c.units)
		var report, paper bytes.Buffer
		require.NoError(t, Write(&report, r, c.units))
		require.NoError(t, sheet.HTML(&paper, usualSheet(t, r.System), c.units))
		for kind, b := range map[string]*bytes.Buffer{"report": &report, "sheet": &paper} {
			name := fmt.Sprintf("%s-%d-%s", kind, c.ports, c.units)
			file := filepath.Join(dir, name+".html")
			require.NoError(t, os.WriteFile(file, b.Bytes(), 0o644))
			for _, s := range screens {
				if kind == "sheet" && (s.dark || s.name == "tablet" || s.name == "small") {
					continue // the sheet has the same style sheet, and is made for paper
				}
				most := 0
				if kind == "report" {
					most = mostPaper[c.ports]
				}
				t.Run(name+"/"+s.name, func(t *testing.T) { checkPage(t, ctx, file, name, s, most) })
			}
		}
	}
}

// keepPicture keeps what the browser shows, if the tester wants to look.
func keepPicture(t *testing.T, ctx context.Context, name string) {
	if dir := os.Getenv("LOSTAIR_PICTURES"); dir != "" {
		png, err := chromedp.Run(ctx, chromedp.FullScreenshot(100))
		require.NoError(t, err)
		require.NoError(t, os.WriteFile(filepath.Join(dir, name+".png"), png, 0o644))
	}
}

// mostPaper is the most pages of paper that a report may fill, by ports.
var mostPaper = map[int]int{3: 3, 12: 5, 40: 8}

// checkPage looks at a page; most is how many pages of paper it may fill, 0: any.
func checkPage(t *testing.T, ctx context.Context, file, name string, s screen, most int) {
	o := look(t, ctx, file, s)
	bad, err := chromedp.Run(o, chromedp.Evaluate[[]string](wrongOnPage))
	require.NoError(t, err)
	assert.Empty(t, bad)
	checkTree(t, o)
	keepPicture(t, o, name+"-"+s.name)
	if s.name == "desk" || s.name == "dark" || s.name == "phone" {
		defer accessible(t, o)
	}
	if s.print {
		printed(t, o, name, s, most)
	}
	o.mu.Lock()
	defer o.mu.Unlock()
	assert.Empty(t, o.complaints)
	assert.NotEmpty(t, o.requests, "the network was not watched")
	for _, r := range o.requests {
		assert.True(t, r == "file://"+file || strings.HasPrefix(r, "data:"), "the page asked for %s", r)
	}
}

// accessible holds a page, all of it unfolded, to the rules of axe-core.
func accessible(t *testing.T, ctx context.Context) {
	cache, err := os.UserCacheDir()
	require.NoError(t, err)
	kept, err := filepath.Glob(filepath.Join(cache, "lostair-test", "axe-core-*.js"))
	require.NoError(t, err)
	if len(kept) == 0 {
		t.Log("no accessibility check: the tests of cmd/internal/bench fetch axe-core, run them first")
		return
	}
	axe, err := os.ReadFile(kept[len(kept)-1])
	require.NoError(t, err)
	open := `(() => { for (const d of document.querySelectorAll("details")) d.open = true; ` + string(axe) + `; return "loaded" })()`
	_, err = chromedp.Run(ctx, chromedp.Evaluate[string](open))
	require.NoError(t, err)
	found, err := chromedp.Run(ctx, chromedp.Evaluate[string](`axe.run().then(r => r.violations.map(v => v.id + ": " + v.nodes[0].html.slice(0, 120)).join("\n"))`, chromedp.EvalAwaitPromise))
	require.NoError(t, err)
	assert.Empty(t, found, "axe-core finds")
}

// checkTree looks at the page as a screen reader does.
func checkTree(t *testing.T, ctx context.Context) {
	all, err := chromedp.Call(ctx, accessibility.GetFullAXTree, accessibility.GetFullAXTreeParams{})
	require.NoError(t, err)
	count := map[string]int{}
	for _, n := range all.Nodes {
		if n.Ignored || n.Role == nil {
			continue
		}
		role := strings.Trim(string(n.Role.Value), `"`)
		count[role]++
		switch role {
		case "image", "img", "heading", "link", "table", "columnheader", "rowheader":
			name := ""
			if n.Name != nil {
				name = strings.Trim(string(n.Name.Value), `"`)
			}
			assert.NotEmpty(t, name, "a %s has no name", role)
		case "SvgRoot":
			t.Error("a drawing is not an image with a name")
		}
	}
	for _, role := range []string{"image", "heading", "table", "columnheader", "rowheader", "main", "banner"} {
		assert.Positive(t, count[role], "no %s on the page; there are %v", role, count)
	}
}

// printed makes a PDF and looks whether it has pages.
func printed(t *testing.T, ctx context.Context, name string, s screen, most int) {
	paper := chromedp.PaperSize{Width: 8.27, Height: 11.69}
	if s.name == "letter" {
		paper = chromedp.PaperSize{Width: 8.5, Height: 11}
	}
	pdf, err := chromedp.Run(ctx, chromedp.PrintToPDF(chromedp.PDFPaper(paper), chromedp.PDFPrintBackground()))
	require.NoError(t, err)
	assert.True(t, bytes.HasPrefix(pdf, []byte("%PDF-")))
	n := bytes.Count(pdf, []byte("/Type /Page\n"))
	assert.Greater(t, n, 1, "pages")
	assert.True(t, most == 0 || n <= most, "%d pages of paper, at most %d", n, most)
	if dir := os.Getenv("LOSTAIR_PICTURES"); dir != "" {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name+"-"+s.name+".pdf"), pdf, 0o644))
	}
}
