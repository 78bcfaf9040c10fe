package bench

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/cmd/internal/bench/store"
	"lostair/cmd/internal/door"
)

// browser starts a headless Chromium; the test is skipped if there is none.
func browser(t *testing.T) context.Context {
	t.Helper()
	if os.Getenv("LOSTAIR_LONG") == "" {
		t.Skip("skipped: the bench page is tried in a browser with LOSTAIR_LONG=1")
	}
	path := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome", "google-chrome-stable"} {
		if p, err := exec.LookPath(name); err == nil {
			path = p
			break
		}
	}
	if path == "" {
		t.Skip("skipped: no Chromium found in PATH (on Debian: apt-get install chromium); the bench page was NOT tried in a browser")
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
	touch, dark   bool
}

var (
	phone = screen{name: "phone", width: 360, height: 740, touch: true}
	desk1 = screen{name: "desk", width: 1280, height: 900}
)

func (s screen) inTheDark() screen {
	s.name, s.dark = s.name+"-dark", true
	return s
}

// tab is a tab of the browser, with all it complained of and fetched.
type tab struct {
	context.Context
	t                    *testing.T
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
		if !strings.Contains(e.Entry.Text, "422 (Unprocessable") && !strings.Contains(e.Entry.Text, "409 (Conflict") { // an answer that was refused
			o.complaints = append(o.complaints, e.Entry.Text)
		}
	case *network.EventRequestWillBeSent:
		o.requests = append(o.requests, e.Request.URL)
	}
}

func call[P, R any](ctx context.Context, cmd cdp.Command[P, R], params P) error {
	_, err := chromedp.Call(ctx, cmd, params)
	return err
}

func openTab(t *testing.T, ctx context.Context, s screen, address string) *tab {
	c, cancel := chromedp.NewContext(ctx)
	t.Cleanup(cancel)
	o := &tab{Context: c, t: t}
	require.NoError(t, chromedp.Listen(c, o.hear))
	media := emulation.SetEmulatedMediaParams{}
	if s.dark {
		media.Features = []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: "dark"}}
	}
	require.NoError(t, call(c, network.Enable, network.EnableParams{}))
	require.NoError(t, call(c, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{Width: s.width, Height: s.height, DeviceScaleFactor: 1, Mobile: s.touch}))
	if s.touch {
		require.NoError(t, call(c, emulation.SetTouchEmulationEnabled, emulation.SetTouchEmulationEnabledParams{Enabled: true}))
	}
	require.NoError(t, call(c, emulation.SetEmulatedMedia, media))
	require.NoError(t, chromedp.Do(c, chromedp.Navigate(address)))
	return o
}

// try runs script in the page; what it gives back is a string.
func (o *tab) try(script string) string {
	o.t.Helper()
	out, err := chromedp.Run(o, chromedp.Evaluate[string](script))
	require.NoError(o.t, err, script)
	return out
}

// until waits until script gives "yes".
func (o *tab) until(what, script string) {
	o.t.Helper()
	for range 200 {
		if o.try("(() => ("+script+") ? 'yes' : 'no')()") == "yes" {
			return
		}
		time.Sleep(50 * time.Millisecond)
	}
	o.picture("failed")
	require.Fail(o.t, "it does not come to this: "+what, o.try("document.body.innerText.slice(0, 1500)"))
}

// picture keeps what the browser shows, if LOSTAIR_PICTURES names a folder.
func (o *tab) picture(name string) {
	if dir := os.Getenv("LOSTAIR_PICTURES"); dir != "" {
		png, err := chromedp.Run(o, chromedp.FullScreenshot(100))
		require.NoError(o.t, err)
		require.NoError(o.t, os.WriteFile(filepath.Join(dir, "bench-"+name+".png"), png, 0o644))
	}
}

// wrongOnPage looks for what is cut off, too small to read or too small to tap.
const wrongOnPage = `(() => {
  const bad = [], root = document.documentElement, say = e => e.localName + " " + (e.textContent || "").trim().slice(0, 40);
  const seen = e => e.getClientRects().length > 0 && !e.closest(".sr") && !e.closest(".skip");
  if (root.scrollWidth > root.clientWidth) bad.push("the page is wider than the screen: " + root.scrollWidth + " > " + root.clientWidth);
  for (const e of document.querySelectorAll("body *")) {
    if (!seen(e) || e.closest(".scroll") || e.closest("svg") && e.localName !== "svg") continue;
    const b = e.getBoundingClientRect();
    if (b.width && (b.right > root.clientWidth + 1 || b.left < -1)) bad.push("cut off: " + say(e));
    if ([...e.childNodes].some(n => n.nodeType === 3 && n.data.trim()) && parseFloat(getComputedStyle(e).fontSize) < 17) bad.push("small type: " + say(e) + " " + getComputedStyle(e).fontSize);
  }
  for (const e of document.querySelectorAll("button, a.button, a.word, a.door, .places a, input:not([type=hidden]):not([type=radio]):not([type=checkbox]), select, summary, label.chip, label.check")) {
    const b = e.getBoundingClientRect();
    if (seen(e) && (b.height < 47.5 || b.width < 47.5)) bad.push("small to tap: " + say(e) + " " + b.width.toFixed(0) + "×" + b.height.toFixed(0));
  }
  return bad.slice(0, 12).join("\n");
})()`

// served is a bench page behind its door, as lostair serve has it.
type served struct {
	dir, key, port, base string
	stop                 func()
}

func serveFolder(t *testing.T, dir string) *served {
	t.Helper()
	return serveAt(t, dir, "0", door.NewKey())
}

func serveAt(t *testing.T, dir, port, key string) *served {
	t.Helper()
	files, err := store.OpenFolder(dir)
	require.NoError(t, err)
	d, err := door.Open(port, key)
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	h := New(Options{Files: files, Where: dir, Demo: demoFiles(t), Now: func() time.Time { return time.Date(2026, 5, 4, 9, 0, 0, 0, time.UTC) }})
	go func() { ended <- d.Serve(ctx, h) }()
	var once sync.Once
	s := &served{dir: dir, key: key, port: d.Port, base: "http://127.0.0.1:" + d.Port}
	s.stop = func() { once.Do(func() { cancel(); <-ended; files.Close() }) }
	t.Cleanup(s.stop)
	return s
}

func (s *served) link() string { return s.base + "/?key=" + s.key }

// demoFiles are the demo shop's, from the command that holds them.
func demoFiles(t testing.TB) []store.File {
	t.Helper()
	root := filepath.Join("..", "..", "lostair", "demo")
	var out []store.File
	for _, pattern := range []string{"*.yaml", "*.csv", "history/*.csv"} {
		names, err := filepath.Glob(filepath.Join(root, pattern))
		require.NoError(t, err)
		require.NotEmpty(t, names)
		for _, n := range names {
			data, err := os.ReadFile(n)
			require.NoError(t, err)
			rel, err := filepath.Rel(root, n)
			require.NoError(t, err)
			out = append(out, store.File{Name: filepath.ToSlash(rel), Data: data})
		}
	}
	return out
}

// calm says that nothing was complained of and nothing fetched from elsewhere.
func (o *tab) calm(home string) {
	o.t.Helper()
	o.mu.Lock()
	defer o.mu.Unlock()
	assert.Empty(o.t, o.complaints)
	assert.NotEmpty(o.t, o.requests, "the network was not watched")
	for _, r := range o.requests {
		assert.True(o.t, strings.HasPrefix(r, home) || strings.HasPrefix(r, "data:") || strings.HasPrefix(r, "blob:"), "the page asked for %s", r)
	}
}

// views are what there is to see in the demo shop.
var views = []string{"/", "/demo/", "/demo/shop", "/demo/shop?run=saw-drop", "/demo/shop/word?list=ducts&row=0&id=main&key=diameter",
	"/demo/shop/word?list=ducts&row=0&id=main&key=fittings", "/demo/shop/word?key=collector.fan", "/demo/shop/word?list=ducts&row=1&id=slip-run&key=length",
	"/demo/shop/add?what=drop&into=loft-run", "/demo/shop/table", "/demo/shop/word?list=ports&row=0&id=planer&key=others", "/demo/shop/word?list=ports&row=0&id=planer&key=opening",
	"/demo/shop/word?list=ducts&row=9&id=saw-hose&key=compressed", "/demo/shop/word?list=ducts&row=9&id=saw-hose&key=lining", "/demo/shop/word?key=collector.cyclone", "/demo/shop/add?what=run&into=main", "/demo/round?new=yes", "/demo/round", "/demo/round?open=none&point=bin&quantity=static_pressure", "/demo/round?open=saw&point=saw&quantity=velocity_pressure&hose_off=saw&in_place_of=saw%7Csaw%7Cvelocity%7C", "/demo/answer", "/demo/answer?light=1", "/demo/round/proof?survey=readings.csv", "/demo/whatif?set=filter%3D2x",
	"/demo/health?did=yes", "/demo/print", "/demo/shop/word?list=ducts&row=99&id=gone&key=length"}

func TestViewsInABrowser(t *testing.T) {
	ctx := browser(t)
	axe := axeCore(t)
	s := serveFolder(t, t.TempDir())
	first := openTab(t, ctx, desk1, s.link())
	_, err := chromedp.Run(first, chromedp.Evaluate[string](`fetch("/demo/round", {method: "POST", body: new URLSearchParams({complaint: "weak at saw"})}).then(() => fetch("/demo/round/read", {method: "POST",
		body: new URLSearchParams({file: "`+today+`", open: "saw", point: "T-saw", quantity: "static_pressure", value: "-1700", unit: "Pa"})})).then(r => r.text())`, chromedp.EvalAwaitPromise))
	require.NoError(t, err)
	for _, sc := range []screen{phone, desk1, phone.inTheDark(), desk1.inTheDark()} {
		o := openTab(t, ctx, sc, s.link())
		for i, view := range views {
			t.Run(sc.name+view, func(t *testing.T) {
				o.t = t
				require.NoError(t, chromedp.Do(o, chromedp.Navigate(s.base+view)))
				assert.Empty(t, o.try(wrongOnPage))
				if axe != "" {
					assert.Empty(t, o.violations(axe))
				}
				o.picture(fmt.Sprintf("%02d-%s", i, sc.name))
			})
		}
		o.t = t
		o.calm(s.base)
	}
}

// The pages of package report keep to the policy that they are served with, and
// nothing in them shuts a reader out.
func TestWholePages(t *testing.T) {
	ctx := browser(t)
	axe := axeCore(t)
	s := serveFolder(t, t.TempDir())
	for _, sc := range []screen{desk1, phone.inTheDark()} {
		o := openTab(t, ctx, sc, s.link())
		for _, view := range []string{"/demo/answer/report?survey=readings.csv", "/demo/health/history", "/demo/print/sheet", "/demo/health/repair?before=readings.csv&after=when-sound.csv"} {
			require.NoError(t, chromedp.Do(o, chromedp.Navigate(s.base+view)))
			assert.NotEqual(t, "Times New Roman", o.try(`getComputedStyle(document.body).fontFamily`), "%s has its style", view)
			assert.Equal(t, "yes", o.try(`document.querySelector("h1") ? "yes" : "no"`), view)
			if axe != "" {
				assert.Empty(t, o.violations(axe), "%s on %s", view, sc.name)
			}
		}
		o.calm(s.base)
	}
}
