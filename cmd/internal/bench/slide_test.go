package bench

import (
	"fmt"
	"net/url"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct/systemfile"
)

// A slider stands where the shop is, and goes through the sizes that are made, or from
// nothing to nearly all.
func TestWhatCanBeDragged(t *testing.T) {
	data := demoFile(t, "system.yaml")
	sys, bad := systemfile.Load(data.Data, "system.yaml")
	require.NoError(t, bad.Err())
	for _, c := range []struct {
		key, value, at, first, last string
	}{
		{"saw-hose.diameter", "", "100 mm", "50 mm", "1250 mm"},
		{"saw-hose.diameter", "125 mm", "125 mm", "50 mm", "1250 mm"},
		{"saw-hose.diameter", "137 mm", "100 mm", "50 mm", "1250 mm"}, // of a size between
		{"saw-hose.blockage", "", "0 %", "0 %", "95 %"},
		{"saw.travel", "", "100 %", "5 %", "100 %"},
		{"fan", "", "100 %", "50 %", "120 %"},
		{"filter", "", "1x", "0.5x", "8x"},
		{"filter", "2.25x", "2.25x", "0.5x", "8x"},
	} {
		s := slideOf(sys, c.key, c.value)
		require.NotNil(t, s, c.key)
		assert.Equal(t, []string{c.at, c.first, c.last}, []string{s.Values[s.At], s.at("0"), s.at(fmt.Sprint(s.Last()))}, c.key+" "+c.value)
		assert.Empty(t, s.at("-1")+s.at(fmt.Sprint(s.Last()+1))+s.at("x"))
	}
	for _, key := range []string{"", "saw-hose.length", "saw-hose.material", "air.temperature"} {
		assert.Nil(t, slideOf(sys, key, ""), key)
	}
}

// A value takes the place of the one before; gates are taken together; without script a
// slider sends its place.
func TestOneValueAKey(t *testing.T) {
	a := over(t)
	page := func(pairs ...string) string {
		v := url.Values{}
		for i := 0; i < len(pairs); i += 2 {
			v.Add(pairs[i], pairs[i+1])
		}
		w := a.get("/demo/whatif?" + v.Encode())
		require.Equal(t, 200, w.Code)
		return w.Body.String()
	}
	got := page("set", "saw-hose.diameter=125 mm", "set", "filter=2x", "key", "saw-hose.diameter", "value", "150 mm", "gate", "saw", "gate", "planer")
	assert.Contains(t, got, `value="saw-hose.diameter=150 mm" checked`)
	assert.NotContains(t, got, "saw-hose.diameter=125 mm")
	assert.Contains(t, got, `value="filter=2x" checked`)
	assert.Equal(t, 2, strings.Count(got, " checked> <span>")-strings.Count(got, `name="set"`), "two gates")
	assert.Contains(t, got, "planer and saw open")
	assert.Contains(t, got, "Before and after")
	assert.Contains(t, page("key", "saw-hose.diameter", "value", "", "slide", "5"), `value="saw-hose.diameter=150 mm" checked`)
	assert.NotContains(t, page("key", "saw-hose.diameter", "value", ""), "Before and after")
}

// Who drags a size sees before and after at once, and stays at the slider.
func TestDragged(t *testing.T) {
	ctx := browser(t)
	s := serveFolder(t, t.TempDir())
	p := &person{tab: openTab(t, ctx, phone, s.link())}
	require.NoError(t, chromedp.Do(p, chromedp.Navigate(s.base+"/demo/whatif")))
	set := func(field, event, value string) {
		t.Helper()
		require.Equal(t, "", p.try(`(() => { const e = document.querySelector("main [name=`+field+`]"); if (!e) return "no field"; e.focus(); e.value = `+quoted(value)+`;
			e.dispatchEvent(new Event("input", {bubbles: true})); e.dispatchEvent(new Event("`+event+`", {bubbles: true})); return ""; })()`))
	}
	set("key", "change", "saw-hose.diameter")
	p.until("the slider", `document.querySelector("main input[type=range]")`)
	set("slide", "change", "4")
	p.until("before and after", `document.querySelector("main table")`)
	p.must("Before and after")
	assert.Equal(t, "125 mm", p.try(`document.querySelector("main [name=value]").value`))
	assert.Equal(t, "slide", p.try(`document.activeElement.name`), "the finger stays where it is")
	set("slide", "change", "5")
	p.until("the next size", `document.querySelector("main [name=set]").value === "saw-hose.diameter=150 mm"`)
	assert.Equal(t, "1", p.try(`String(document.querySelectorAll("main [name=set]").length)`))
	p.calm(s.base)
}
