package bench

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct"
	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/whatif"
	"lostair/readings"
	"lostair/readings/units"
)

// person works the page as somebody with a finger would, and counts taps and keys.
type person struct {
	*tab
	taps, keys int
	numbers    int // keys of those that are digits of a size or a length
}

func quoted(s string) string {
	b, _ := json.Marshal(s)
	return string(b)
}

// find is script for the first thing that can be tapped and says text, from its start.
func find(text string) string {
	return `[...document.querySelectorAll("main a, main button, main summary, main label.chip, nav a, header a")].find(e => e.checkVisibility() && (e.textContent.trim().replace(/\s+/g, " ") === ` + quoted(text) +
		` || e.textContent.trim().replace(/\s+/g, " ").startsWith(` + quoted(text) + `)))`
}

// tap taps what says text, without waiting.
func (p *person) tap(text string) {
	p.t.Helper()
	p.taps++
	got := p.try(`(() => { const e = ` + find(text) + `; if (!e) return "nothing says it; there is: " + document.querySelector("main").innerText.slice(0, 1500); e.scrollIntoView({block: "center"}); window.tapped = String(document.documentElement.dataset.shown || 0); e.click(); return ""; })()`)
	if got != "" {
		p.picture("failed")
	}
	require.Empty(p.t, got, "to tap %q", text)
}

// do taps what leads to another page, and waits for it.
func (p *person) do(text string) {
	p.t.Helper()
	p.tap(text) // what shows by itself before the tap is no answer to it
	p.until("the page after "+text, `String(document.documentElement.dataset.shown || 0) !== window.tapped`)
}

// unfold opens what a field is folded away in, by a tap.
func (p *person) unfold(field string) {
	if p.try(`(() => { const d = document.querySelector(`+quoted("main "+field)+`)?.closest("details:not([open])"); d?.setAttribute("open", ""); return d ? "yes" : "no"; })()`) == "yes" {
		p.taps++
	}
}

// fill types into a field.
func (p *person) fill(name, value string) {
	p.t.Helper()
	p.unfold("[name=" + name + "]")
	p.taps++
	if strings.Trim(value, "-0123456789.") == "" {
		p.numbers += len(value)
	} else {
		p.keys += len(value)
	}
	got := p.try(`(() => { const e = document.querySelector("main [name=` + name + `]"); if (!e) return "no field"; e.focus(); e.value = ` + quoted(value) + `; e.dispatchEvent(new Event("input", {bubbles: true})); return ""; })()`)
	require.Empty(p.t, got, "to type into %s", name)
}

// pick taps one of several answers.
func (p *person) pick(name, value string) {
	p.t.Helper()
	field := fmt.Sprintf("input[type=radio][name='%s'][value='%s']", name, value)
	p.unfold(field)
	p.taps++
	got := p.try(`(() => { const e = document.querySelector(` + quoted("main "+field) + `); if (!e) return "no such answer"; e.click(); return e.checked ? "" : "it is not taken"; })()`)
	require.Empty(p.t, got, "to pick %s of %s", value, name)
}

func (p *person) says(text string) bool {
	return p.try(`document.querySelector("main").textContent.replace(/\s+/g, " ").includes(`+quoted(text)+`) ? "yes" : "no"`) == "yes"
}

func (p *person) must(text string) {
	p.t.Helper()
	if !p.says(text) {
		p.picture("failed")
		require.Fail(p.t, "the page does not say: "+text, p.try(`document.querySelector("main").innerText.slice(0, 2000)`))
	}
}

// describe builds the demo shop from nothing: two runs with six machines, 14 ducts.
func (p *person) describe() {
	p.t.Helper()
	p.until("the start", `document.querySelector("[name=name]")`)
	p.fill("name", "Chair shop")
	p.do("Begin")
	p.must("what size?")
	p.do("size of the inlet")
	p.do("160 mm")
	p.do("the fan: what do you know of it?")
	p.try(`(() => { const e = document.querySelector("[name=table]"); e.value = "0 2250\n600 2230\n1200 1990\n1700 1560\n2200 920\n2650 100"; return ""; })()`)
	p.taps++
	p.do("Take it")
	p.do("the cyclone")
	p.fill("drop", "480")
	p.fill("at", "1500")
	p.do("Take it")
	p.do("the filter")
	p.fill("drop", "160")
	p.fill("at", "1500")
	p.do("Take it")
	p.do("Add a run of pipe to the collector")
	p.size("size", "160")
	p.fill("length", "3.6")
	p.pick("n90", "1")
	p.fill("tap", "2.2")
	p.do("Add it")
	p.do("Add a run of pipe to main")
	p.fill("name", "slip run")
	p.size("size", "140")
	p.fill("length", "6.5")
	p.fill("tap", "4.5")
	p.do("Add it")
	p.drop("Add a machine to slip run", "planer", "125", "2.6", "same", "1.2")
	p.drop("Add a machine to slip run", "bandsaw", "110", "2.4", "100", "1.4")
	p.tap("main ") // unfold it
	p.do("Add a run of pipe to main")
	p.fill("name", "loft run")
	p.size("size", "140")
	p.fill("length", "5.2")
	p.pick("enters", "45")
	p.do("Add it")
	p.drop("Add a machine to loft run", "saw", "125", "2.2", "110", "1.6")
	p.drop("Add a machine to loft run", "sander", "110", "2.4", "same", "1.3")
	p.drop("Add a machine to loft run", "spindle", "110", "2.0", "same", "1.1")
	p.drop("Add a machine to slip run", "floor", "100", "2.8", "none", "")
}

// size taps a size, or types one that is not offered.
func (p *person) size(name, value string) {
	p.t.Helper()
	if p.try(`document.querySelector("main input[name='`+name+`'][value='`+value+`']") ? "yes" : "no"`) == "yes" {
		p.pick(name, value)
		return
	}
	p.fill(name+"-typed", value)
}

func (p *person) drop(button, name, size, length, hose, hoseLength string) {
	p.t.Helper()
	if p.try(`(() => { const e = `+find(button)+`; return e ? "yes" : "no"; })()`) == "no" {
		p.tap(strings.TrimPrefix(button, "Add a machine to ") + " ")
	}
	p.do(button)
	p.fill("name", name)
	p.size("size", size)
	p.fill("length", length)
	p.pick("n90", "1")
	p.size("hose", hose)
	if hoseLength != "" {
		p.fill("hose-length", hoseLength)
	}
	p.fill("tap", "1.5")
	p.do("Add it")
	p.must("Here stands " + name)
}

// world shows what gauges would in a shop with something wrong in it.
type world struct {
	t    *testing.T
	sys  *duct.System
	sets []string
}

// reads is what a reading shows; false if this world can't say.
func (w *world) reads(open, point, quantity string) (float64, bool) {
	o, err := readings.ParseOpen(open)
	require.NoError(w.t, err)
	x, err := whatif.Compare(w.t.Context(), w.sys, w.sets, []readings.Open{o})
	require.NoError(w.t, err)
	for _, r := range x.Settings[0].Rows {
		if r.Where != point {
			continue
		}
		switch {
		case r.Quantity.String() == quantity:
			return r.Quantity.Dimension().FromSI(w.sys.Units, r.After), true
		case r.Quantity == units.FlowRate && quantity == "velocity":
			d := w.sys.Ducts[w.sys.Ports[portOf(w.sys, point)].Duct].Diameter
			return units.Velocity.FromSI(w.sys.Units, r.After/(math.Pi/4*d*d)), true
		}
	}
	return 0, false
}

// looks is what one sees: all is well but for a hose that is blocked.
func (w *world) looks(l readings.Look, point string) string {
	good := l != readings.Clings && l != readings.Hisses
	if l == readings.ClearInside && slices.ContainsFunc(w.sets, func(s string) bool { return strings.HasPrefix(s, point+".blockage") }) {
		good = !good
	}
	if good {
		return "Yes"
	}
	return "No"
}

func portOf(s *duct.System, id string) int { i, _ := s.PortNamed(id); return i }

// round answers n readings of a round, as the world shows them.
func (p *person) round(w *world, n int) {
	p.t.Helper()
	field := func(name string) string {
		return p.try(`document.querySelector("main form.reading [name=` + name + `]")?.value || ""`)
	}
	for done, asked := 0, 0; done < n && asked < 4*n; asked++ {
		if field("step") == "" {
			return
		}
		p.try(`(() => { document.querySelector("main form.reading")?.closest("details")?.setAttribute("open", ""); return ""; })()`) // read on though it is enough
		if l, ok := readings.LookNamed(field("quantity")); ok && l.Number() {
			p.do("I can't read that")
			continue
		} else if ok {
			p.do(w.looks(l, field("point")))
			done++
			continue
		}
		v, ok := w.reads(field("open"), field("point"), field("quantity"))
		if !ok {
			p.do("I can't read that")
			continue
		}
		p.fill("value", fmt.Sprintf("%.4g", v))
		p.do("Write it down")
		if p.says("It is right as it is") {
			p.do("It is right as it is")
		}
		done++
	}
	p.settle()
}

// settle waits until the page has come to rest: a step that was brought along is
// shown at once, and once more with the answer to it.
func (p *person) settle() {
	p.t.Helper()
	last := ""
	for still := 0; still < 10; still++ {
		if now := p.try(`String(document.documentElement.dataset.shown || 0)`); now != last {
			last, still = now, 0
		}
		time.Sleep(50 * time.Millisecond)
	}
}

// journey is the whole job: describe, read, see, mend, prove.
func (p *person) journey(file func(name string) []byte) {
	p.t.Helper()
	p.describe()
	p.must("Nothing to put right.")
	p.t.Logf("the demo shop described in %d taps and %d keys beside %d digits", p.taps, p.keys, p.numbers)
	assert.Less(p.t, (p.taps+p.keys)*22/14, 300, "of 22 ducts")
	sys, list := systemfile.Load(file("system.yaml"), "system.yaml")
	require.NoError(p.t, list.Err())
	assert.Len(p.t, sys.Ports, 6)
	assert.Len(p.t, sys.Ducts, 14)

	p.do("Round")
	p.do("weak at saw")
	p.round(&world{p.t, sys, []string{"saw-hose.blockage=65%"}}, 10)
	p.picture("journey-round")
	p.do("Answer")
	p.must("Fault found")
	assert.Contains(p.t, p.try(`[...document.querySelectorAll(".suspect-row")].map(e => e.textContent).join("; ")`), "saw")
	p.picture("journey-answer")

	p.do("I did it")
	p.must("Reading 1 of")
	p.round(&world{p.t, sys, nil}, 3)
	p.must("Better than before: over 99 in 100")
	p.must("It is in the log of repairs")
	p.picture("journey-proof")
	p.do("Health")
	p.must("better than before: over 99 in 100")
	p.do("The monthly check")
	p.do("after a repair")
	p.round(&world{p.t, sys, nil}, 8)
	p.do("Answer")
	p.must("Sound")
}

func TestJourneyServed(t *testing.T) {
	ctx := browser(t)
	for _, sc := range []screen{phone, {name: "tablet", width: 768, height: 1024, touch: true}, desk1} {
		t.Run(sc.name, func(t *testing.T) {
			dir := t.TempDir()
			s := serveFolder(t, dir)
			p := &person{tab: openTab(t, ctx, sc, s.link())}
			p.journey(func(name string) []byte {
				data, err := os.ReadFile(filepath.Join(dir, name))
				require.NoError(t, err)
				return data
			})
			p.calm(s.base)
		})
	}
}

// pageFile is the bench page as one file, made by the command.
func pageFile(t *testing.T) string {
	t.Helper()
	if ready := os.Getenv("LOSTAIR_BENCH_HTML"); ready != "" { // made before, to save a minute
		return ready
	}
	file := filepath.Join(t.TempDir(), "bench.html")
	out, err := exec.Command("go", "run", "../../lostair", "page", "--source", "../../..", "-o", file).CombinedOutput()
	require.NoError(t, err, string(out))
	return file
}

func TestJourneyInOneFile(t *testing.T) {
	ctx := browser(t)
	file := pageFile(t)
	info, err := os.Stat(file)
	require.NoError(t, err)
	assert.Less(t, info.Size(), int64(8_000_000), "bytes")
	t.Run("ten ports", func(t *testing.T) {
		begun := time.Now()
		p := &person{tab: openTab(t, ctx, phone, "file://"+file)}
		p.until("the first view", `document.querySelector("main form, main .door")`)
		first := time.Since(begun)
		t.Logf("%d bytes, first view after %v", info.Size(), first.Round(10*time.Millisecond))
		assert.Less(t, first, otherwork*mostFirst)
		p.tenPortsInOneFile()
		p.calm("file://" + file)
		p.try(`(() => { indexedDB.deleteDatabase("lostair"); return ""; })()`)
	})
	for _, sc := range []screen{phone, desk1} {
		t.Run(sc.name, func(t *testing.T) {
			begun := time.Now()
			p := &person{tab: openTab(t, ctx, sc, "file://"+file)}
			p.until("the first view", `document.querySelector("main form, main .door")`)
			t.Logf("first view after %v", time.Since(begun).Round(10*time.Millisecond))
			p.try(`(() => { window.same = "this very page"; return ""; })()`)
			p.journey(p.inPage)
			assert.Equal(t, "this very page", p.try("window.same || ''"), "it was loaded anew")
			p.calm("file://" + file)
			kept := string(p.inPage("system.yaml"))
			require.NoError(t, chromedp.Do(p, chromedp.Navigate("file://"+file)))
			p.until("the shop after a reload", `document.querySelector("main .door")`)
			p.must("Chair shop")
			assert.Equal(t, kept, string(p.inPage("system.yaml")))
			begun = time.Now()
			p.do("Answer")
			t.Logf("answer, worked out anew, after %v", time.Since(begun).Round(10*time.Millisecond))
			p.do("Print")
			p.tap("Field sheet")
			p.until("the sheet over the page", `document.querySelector("dialog iframe")?.contentDocument?.querySelector("h1")`)
			p.try(`(() => { document.querySelector("dialog").close(); return ""; })()`)
			if axe := axeCore(t); axe != "" {
				for _, view := range []string{"Shop", "Round", "Answer", "Health"} {
					p.do(view)
					assert.Empty(t, p.try(wrongOnPage), view)
					assert.Empty(t, p.violations(axe), view)
				}
			}
			p.calm("file://" + file)
			p.try(`(() => { indexedDB.deleteDatabase("lostair"); return ""; })()`)
		})
	}
}

// inPage is a file that the page that is one file keeps.
func (p *person) inPage(name string) []byte {
	out, err := chromedp.Run(p, chromedp.Evaluate[string](`lostairEngine.ask("GET", "/files/`+name+`").then(a => a.text)`, chromedp.EvalAwaitPromise))
	require.NoError(p.t, err)
	return []byte(out)
}
