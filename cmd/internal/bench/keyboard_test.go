package bench

import (
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// press sends keys to whatever has the focus.
func (p *person) press(keys string) {
	p.t.Helper()
	require.NoError(p.t, chromedp.Do(p, chromedp.KeyEvent(keys)))
}

// focused says what has the focus: its name for who can't see it, and how it is marked.
const focused = `(() => { const e = document.activeElement; if (!e || e === document.body) return "";
	const box = e.matches("input[type=radio]") ? e.nextElementSibling || e : e, s = getComputedStyle(box), o = getComputedStyle(e);
	const marked = s.outlineStyle !== "none" && parseFloat(s.outlineWidth) > 0 || o.outlineStyle !== "none" && parseFloat(o.outlineWidth) > 0;
	const pipe = e.closest("svg.tree") && e.querySelector(".edge"), drawn = pipe && getComputedStyle(pipe).strokeWidth === "22px";
	const name = (e.getAttribute("aria-label") || [...(e.labels || [])].map(l => l.textContent).join(" ") || e.textContent || e.value || "").trim();
	return [...document.querySelectorAll("*")].indexOf(e) + "|" + (marked || drawn ? "marked" : "NOT MARKED") + "|" + (name ? "named" : "NO NAME") + "|" + e.outerHTML.slice(0, 120); })()`

// Every link, button and field of a view is reached by the tabulator key, says what it
// is, and shows that it has the focus; the key gets out of the page again.
func TestTheKeyReachesAll(t *testing.T) {
	ctx := browser(t)
	s := serveFolder(t, t.TempDir())
	p := &person{tab: openTab(t, ctx, desk1, s.link())}
	for _, view := range []string{"/", "/demo/shop?run=saw-hose", "/demo/shop/add?what=drop&into=loft-run", "/demo/round?new=yes", "/demo/answer", "/demo/whatif", "/demo/health", "/demo/print"} {
		require.NoError(t, chromedp.Do(p, chromedp.Navigate(s.base+view)))
		p.try(`(() => { document.querySelectorAll("details").forEach(d => d.open = true); document.activeElement?.blur(); return ""; })()`)
		want := p.try(`(() => { const seen = e => e.getClientRects().length && getComputedStyle(e).visibility !== "hidden";
			const all = [...document.querySelectorAll("a[href], button, input:not([type=hidden]), select, textarea, summary, [tabindex='0']")].filter(e => seen(e) && !e.disabled && !(e.type === "radio" && (!e.checked && document.querySelector("input[name='" + e.name + "']:checked"))));
			const order = [...document.querySelectorAll("*")]; return all.map(e => order.indexOf(e)).join(" "); })()`)
		left := map[string]bool{}
		for _, i := range strings.Fields(want) {
			left[i] = true
		}
		require.NotEmpty(t, left, view)
		for range 2*len(left) + 10 {
			p.press(kb.Tab)
			at := p.try(focused)
			if at == "" {
				continue
			}
			i, _, _ := strings.Cut(at, "|")
			assert.NotContains(t, at, "NOT MARKED", view)
			assert.NotContains(t, at, "NO NAME", view)
			delete(left, i)
			if len(left) == 0 {
				break
			}
		}
		for i := range left {
			assert.Fail(t, "the key does not reach it", "%s: %s", view, p.try(`document.querySelectorAll("*")[`+i+`].outerHTML.slice(0, 200)`))
		}
	}
}

// A shop is begun and a value written down by the keyboard alone.
func TestByKeyboardAlone(t *testing.T) {
	ctx := browser(t)
	dir := t.TempDir()
	s := serveFolder(t, dir)
	p := &person{tab: openTab(t, ctx, desk1, s.link())}
	p.until("the start", `document.querySelector("[name=name]")`)
	until := func(selector string) {
		t.Helper()
		for range 80 {
			if p.try(`document.activeElement?.matches(`+quoted(selector)+`) ? "yes" : "no"`) == "yes" {
				return
			}
			p.press(kb.Tab)
		}
		require.Fail(t, "the tabulator key does not come to "+selector)
	}
	until("[name=name]")
	p.press("Key shop" + kb.Enter)
	p.until("the shop", `document.querySelector("main h1")?.textContent.includes("The shop")`)
	assert.Contains(t, readFile(t, dir, "system.yaml"), "Key shop")
	until("a[href*='collector.inlet']")
	p.press(kb.Enter)
	p.until("the question", `document.querySelector("main [name=value]")`)
	until("[name=value]")
	p.press("180" + kb.Enter)
	p.until("the answer", `document.querySelector("main h1").textContent === "The shop"`)
	assert.Contains(t, readFile(t, dir, "system.yaml"), "inlet: 180")

	dir = demoFolder(t)
	s = serveFolder(t, dir)
	p = &person{tab: openTab(t, ctx, desk1, s.link())}
	p.do("Find out what is wrong")
	p.do("everything is weak")
	until("input[name=value]")
	v := strings.Split(strings.ReplaceAll(p.try(`document.querySelector("main .range").textContent.match(/show ([−\d.]+)/)[1]`), "−", "-"), " ")[0]
	p.press(v + kb.Enter)
	p.until("the next step", `document.querySelector("main").textContent.includes("1 written down")`)
	require.Len(t, rows(t, dir), 1)
	time.Sleep(50 * time.Millisecond)
	p.calm(s.base)
}
