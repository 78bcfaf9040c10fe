package html

import (
	"bytes"
	"fmt"
	"math"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/next"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report/samples"
	"lostair/report/sheet"
)

func htmlOf(t testing.TB, r *diagnose.Result, u units.System) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, Write(&b, r, u))
	return b.String()
}

// has and hasNot don't print the page when they fail.
func has(t *testing.T, page, text string) {
	t.Helper()
	assert.True(t, strings.Contains(page, text), "the page lacks %q", text)
}

func hasNot(t *testing.T, page, text string) {
	t.Helper()
	if i := strings.Index(page, text); i >= 0 {
		t.Errorf("the page has %q: …%s…", text, page[max(0, i-60):min(len(page), i+60)])
	}
}

func TestSameResultSameBytes(t *testing.T) {
	r := pageful(t, 12, units.Metric)
	assert.Equal(t, htmlOf(t, r, units.US), htmlOf(t, r, units.US))
	sh := usualSheet(t, r.System)
	var a, b bytes.Buffer
	require.NoError(t, sheet.HTML(&a, sh, units.US))
	require.NoError(t, sheet.HTML(&b, usualSheet(t, r.System), units.US))
	assert.Equal(t, a.String(), b.String())
}

// A real diagnosis goes onto the page, drawing, suspects and all.
func TestHTMLOfADiagnosis(t *testing.T) {
	s := samples.BigShop(t, 6, units.Metric)
	r := samples.Diagnosed(t, s, samples.Simulated(t, s, samples.LeakAt(t, "planer-drop", 60e-4)))
	require.Equal(t, diagnose.Faults, r.Verdict)
	page := htmlOf(t, r, units.Metric)
	for _, want := range []string{"Valley joinery, 6 ports", "What is wrong", "class=\"zone\"", "Suction on the way to the fan", "Every reading", "Cautions"} {
		has(t, page, want)
	}
	for _, f := range r.Faults {
		if f.Kind != fault.ReadingWrong {
			has(t, page, f.Where)
		}
	}
	require.Equal(t, 1, strings.Count(page, "<script"), "the page's own, which its policy knows")
	hasNot(t, page, "NaN")
	hasNot(t, page, "ZgotmplZ") // what a template writes for a value it refuses
}

// A result that is all but empty, or holds numbers that are none, makes a page too.
func TestHTMLOfLittle(t *testing.T) {
	s := samples.BigShop(t, 3, units.US)
	page := htmlOf(t, &diagnose.Result{System: s, Survey: &readings.Survey{File: "-"}, Verdict: diagnose.Clear, Sound: 0.9}, units.US)
	has(t, page, "Sound")
	r := pageful(t, 3, units.Metric)
	for i := range r.Checks {
		r.Checks[i].Expected, r.Checks[i].Sigma = math.NaN(), math.Inf(1)
	}
	r.Ports[0].Flow.Low = math.NaN()
	page = htmlOf(t, r, units.Metric)
	hasNot(t, page, "NaN")
	hasNot(t, page, "Inf")
}

// Large plants: the page stays small.
func TestLargePlant(t *testing.T) {
	s := samples.BigShop(t, 300, units.Metric)
	sv := samples.Simulated(t, s, samples.LeakAt(t, "planer-drop", 25e-4))
	r := samples.Sketched(t, s, sv, samples.DemoFaults(sv)...)
	page := htmlOf(t, r, units.Metric)
	assert.Less(t, len(page), 2_000_000, "bytes of a report on 300 ports")
	t.Logf("300 ports: %d bytes", len(page))
	has(t, page, "differ most") // profiles left out must be told
}

const vile = `=cmd|'/c x'!A0 <b>"Säge"</b> & 'x' --><script>alert(1)</script>`

// Whatever an id holds, it is text on the page and text in the sheet.
func TestVileIDs(t *testing.T) {
	s := samples.BigShop(t, 3, units.Metric)
	s.Name = vile
	for i := range s.Ducts {
		s.Ducts[i].ID = fmt.Sprint(vile, i)
		if s.Ducts[i].Gate != "" {
			s.Ducts[i].Gate = fmt.Sprint(vile, "g", i)
		}
		for j := range s.Ducts[i].Taps {
			s.Ducts[i].Taps[j].ID = fmt.Sprint(vile, "t", i, "x", j)
		}
	}
	for i := range s.Ports {
		s.Ports[i].ID = fmt.Sprint(vile, "p", i)
	}
	for i := range s.Instruments {
		s.Instruments[i].ID = fmt.Sprint("=", vile, i)
	}
	require.NoError(t, s.Finish().Err())
	sv := samples.SimulatedWith(t, s, s.Instruments[0].ID, s.Instruments[1].ID, func(*airflow.Model, *airflow.Coefs) {})
	sv.File = vile
	leak := fault.Candidate{Kind: fault.Leak, Where: s.Ducts[1].ID, Probability: 0.8}
	r := samples.Sketched(t, s, sv, diagnose.Fault{Candidate: leak, Together: 0.8, Fix: &diagnose.Fix{For: []fault.Candidate{leak, {Kind: fault.Leak, Where: vile}}}})
	r.Doubts, r.Next = []fault.Doubt{{Kind: fault.HugeHole, Where: vile}}, []next.Step{{Point: vile, LookAt: readings.Hisses}, {Point: vile, Tells: []next.Explanation{{Kind: fault.Leak, Where: vile}}}}
	sh := usualSheet(t, s)
	var b bytes.Buffer
	require.NoError(t, sheet.HTML(&b, sh, units.Metric))
	for own, page := range []string{1: htmlOf(t, r, units.Metric), 0: b.String()} {
		has(t, page, "Säge")
		require.Equal(t, own, strings.Count(page, "<script"), "but the report's own")
		hasNot(t, page, "<b>\"")
		hasNot(t, page, "ZgotmplZ")
	}
	b.Reset()
	require.NoError(t, sheet.CSV(&b, sh, units.Metric))
	for _, field := range regexp.MustCompile(`(?m)(^|,)"?([=+\-@])`).FindAllString(b.String(), -1) {
		t.Errorf("a field of the sheet starts with %q", field)
	}
}

// The page of a sheet goes from a plan to a filled-in survey and back.
func TestSheetGoesStraightBack(t *testing.T) {
	s := samples.BigShop(t, 12, units.US)
	sh := usualSheet(t, s)
	var b bytes.Buffer
	require.NoError(t, sheet.CSV(&b, sh, units.US))
	lines := strings.Split(strings.TrimSpace(b.String()), "\n")
	require.Len(t, lines, len(sh.Stops)+1)
	for i, x := range sh.Stops {
		v := units.FormatBare(x.Expected.Value, x.Quantity.Dimension(), units.US)
		lines[i+1] = strings.Replace(lines[i+1], ","+x.Quantity.String()+",,", ","+x.Quantity.String()+","+v+",", 1)
	}
	sv, bad := readings.Load(strings.NewReader(strings.Join(lines, "\n")), "filled.csv", units.US)
	require.Empty(t, bad)
	require.Len(t, sv.Rows, len(sh.Stops))
	require.NoError(t, diagnose.Fits(s, sv).Err())
	assert.Equal(t, diagnose.Clear, samples.Diagnosed(t, s, sv).Verdict, "a system that reads as expected is sound")
}

func TestSheetPage(t *testing.T) {
	s := samples.BigShop(t, 3, units.Metric)
	s.Ducts[1].Diameter = 0.1
	var b bytes.Buffer
	sh := usualSheet(t, s)
	sh.Tell = true
	require.NoError(t, sheet.HTML(&b, sh, units.Metric))
	page := b.String()
	// 100 mm, six positions: 0.032, 0.135, 0.321, 0.679, 0.865, 0.968 of the diameter (log-linear, two instrument leaflets).
	has(t, page, "3 · 13 · 32 · 68 · 87 · 97")
	for _, want := range []string{"Start with all gates shut", "Open all gates", "mm water", "U-tube", "What it can&#39;t show", "grommet", "locked off", "T-saw: stop"} {
		assert.True(t, strings.Contains(page, want) || strings.Contains(page, strings.ReplaceAll(want, "&#39;", "'")), want)
	}
}

func TestSpreadOut(t *testing.T) {
	for _, at := range [][]float64{{50, 51, 52, 300, 328}, {328, 328, 328}, make([]float64, 40)} {
		got := spreadOut(at)
		for i := 1; i < len(got); i++ {
			assert.GreaterOrEqual(t, got[i]-got[i-1], slot-1e-9)
		}
		assert.LessOrEqual(t, got[len(got)-1], plotRight+4)
	}
	assert.Equal(t, []float64{100, 200}, spreadOut([]float64{100, 200}), "what has room stays")
}

func TestPlaceOnTheWay(t *testing.T) {
	s := samples.BigShop(t, 12, units.Metric)
	w := newWays(s)
	p, _ := s.PortNamed("planer")
	at, ok := w.along(p, "T-planer")
	require.True(t, ok)
	assert.InDelta(t, 1.5+1.6, at, 1e-12, "hose and the tap's distance")
	_, ok = w.along(p, "T-saw")
	assert.False(t, ok)
	assert.True(t, w.open(p, readings.Open{Gates: []string{"planer", "saw"}}))
	assert.False(t, w.open(p, readings.Open{Gates: []string{"saw"}}))
}
