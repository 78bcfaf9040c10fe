package bench

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct"
	"lostair/diagnose/duct/systemfile"
)

// sound loads what the page has written.
func (a *asked) sound() *duct.System {
	a.t.Helper()
	sys, list := systemfile.Load([]byte(a.file("system.yaml")), "system.yaml")
	require.NoError(a.t, list.Err(), a.file("system.yaml"))
	return sys
}

// A second port of a machine is added as a machine is, and the two have one need; taken
// out or named otherwise it leaves the machine as one that is right.
func TestAMachineOfTwoPorts(t *testing.T) {
	a := over(t, demoFile(t, "system.yaml"))
	drop := []string{"what", "drop", "into", "slip-run", "size", "100", "length", "2", "hose", "100", "hose-length", "1", "gate", "machine", "need-typed", "400"}
	w := a.post("/shop/add", append(drop, "name", "planer")...)
	assert.Equal(t, 422, w.Code)
	assert.Contains(t, w.Body.String(), "Or is it another port of that machine? Say so below")
	require.Equal(t, 303, a.post("/shop/add", append(drop, "name", "", "of", "planer")...).Code)
	sys := a.sound()
	require.Len(t, sys.Machines, 1)
	assert.Equal(t, "planer", sys.Machines[0].ID)
	assert.InDelta(t, 1520.0/3600, sys.Machines[0].Need, 1e-9, "the two needs together")
	i, ok := sys.PortNamed("planer 2")
	require.True(t, ok)
	assert.Contains(t, sys.Machines[0].Ports, i)
	said := strings.Join(strings.Fields(stripped(a.get("/shop").Body.String())), " ")
	assert.Contains(t, a.get("/").Body.String(), "16 runs, 6 machines", "two ports of one machine are one machine")
	assert.Contains(t, said, "with planer 2 it serves the machine's name: planer , which needs flow that the machine needs in all: 1520 m³/h in all", said)

	require.Equal(t, 303, a.post("/shop/word", "list", "machines", "row", "0", "id", "planer", "key", "need", "value", "1600", "was", "1520").Code)
	require.Equal(t, 303, a.post("/shop/word", "list", "ports", "row", "6", "id", "planer 2", "key", "id", "value", "belly", "was", "planer 2").Code)
	a.sound()
	assert.Contains(t, a.file("system.yaml"), "ports: [planer, belly], need: 1600")
	require.Equal(t, 303, a.post("/shop/remove", "list", "ducts", "row", "0", "id", "planer 2-hose").Code)
	assert.NotContains(t, a.file("system.yaml"), "\nmachines:")
	assert.Contains(t, a.file("system.yaml"), "{id: planer, duct: planer-hose, hood: 1.0, need: 1600}")
}

// Two ports that are there already are put together, with a third, and apart again.
func TestPortsPutTogether(t *testing.T) {
	a := over(t, demoFile(t, "system.yaml"))
	others := func(port, value string) {
		t.Helper()
		form := []string{"list", "ports", "row", "99", "id", port, "key", "others", "chip", value, "was", ""}
		if value == "" {
			form = []string{"list", "ports", "row", "99", "id", port, "key", "others", "none", "yes", "was", ""}
		}
		require.Equal(t, 303, a.post("/shop/word", form...).Code)
	}
	assert.Contains(t, a.get("/shop/word?list=ports&row=0&id=planer&key=others").Body.String(), `value="saw"`)
	others("planer", "saw")
	others("sander", "planer")
	sys := a.sound()
	require.Len(t, sys.Machines, 1)
	assert.Len(t, sys.Machines[0].Ports, 3)
	assert.InDelta(t, (1120.0+930+960)/3600, sys.Machines[0].Need, 1e-9)
	others("saw", "")
	others("sander", "")
	assert.Empty(t, a.sound().Machines)
	assert.Equal(t, 422, a.post("/shop/word", "list", "ports", "row", "0", "id", "planer", "key", "others", "was", "").Code)
	assert.Equal(t, 422, a.post("/shop/word", "list", "ports", "row", "0", "id", "planer", "key", "others", "chip", "gone", "was", "").Code)
}

// A rectangular duct, a slot for a port and a hose that lies in folds can be told.
func TestRectanglesAndHoses(t *testing.T) {
	a := over(t, demoFile(t, "system.yaml"))
	word := func(code int, pairs ...string) string {
		t.Helper()
		w := a.post("/shop/word", pairs...)
		require.Equal(t, code, w.Code, w.Body.String())
		return w.Body.String()
	}
	word(303, "list", "ducts", "row", "0", "id", "main", "key", "diameter", "value", "200 x 100", "was", "160")
	assert.Contains(t, a.file("system.yaml"), "{id: main, into: collector, length: 3.6, material: spiral, fittings: [{elbow: 90, radius: 1.5}], taps: {M1: 2.2}, width: 200, height: 100}")
	assert.Contains(t, a.get("/shop").Body.String(), "200 mm by 100 mm")
	assert.Contains(t, a.get("/shop").Body.String(), "200 × 100 mm", "in the drawing")
	assert.Contains(t, word(422, "list", "ducts", "row", "0", "id", "main", "key", "diameter", "value", "200 x 90000", "was", "200 x 100"), "90000")
	assert.Contains(t, word(409, "list", "ducts", "row", "0", "id", "main", "key", "diameter", "chip", "180", "was", "160"), "Somebody else changed this")
	word(303, "list", "ducts", "row", "0", "id", "main", "key", "diameter", "chip", "160", "was", "200 x 100")
	assert.NotContains(t, a.file("system.yaml"), "width")

	word(303, "list", "ports", "row", "3", "id", "saw", "key", "opening", "value", "60 x 250", "was", "")
	word(303, "list", "ducts", "row", "8", "id", "saw-hose", "key", "compressed", "value", "15", "was", "")
	word(303, "list", "ducts", "row", "9", "id", "saw-hose", "key", "lining", "chip", "smooth", "was", "")
	sys := a.sound()
	assert.Equal(t, duct.Opening{Width: 0.06, Height: 0.25}, *sys.Ports[3].Opening)
	assert.InDelta(t, 0.15, sys.Ducts[9].Compressed, 1e-9)
	assert.True(t, sys.Ducts[9].Lined)
	said := stripped(a.get("/shop").Body.String())
	assert.Contains(t, said, "15 % shorter than stretched out")
	assert.Contains(t, said, "smooth inside")
	word(303, "list", "ducts", "row", "9", "id", "saw-hose", "key", "material", "chip", "pvc", "was", "flexible")
	a.sound()

	require.Equal(t, 303, a.post("/shop/add", "what", "drop", "into", "loft-run", "name", "lathe", "size-typed", "120 x 80", "length", "2", "hose", "100", "hose-length", "1.5", "shorter", "20", "lining", "smooth", "opening-typed", "40x200", "gate", "machine", "need", "usual").Code)
	sys = a.sound()
	assert.InDelta(t, 0.12, sys.Ducts[14].Width, 1e-9)
	assert.InDelta(t, 0.2, sys.Ducts[15].Compressed, 1e-9)
	assert.InDelta(t, 0.2, sys.Ports[6].Opening.Height, 1e-9)
	assert.Contains(t, a.post("/shop/try-add", "what", "drop", "into", "main", "size-typed", "200 x 90000").Body.String(), "out of range")
}

// A machine may stand on a run itself, or on it with its hose alone.
func TestAMachineWithoutAPipe(t *testing.T) {
	a := over(t, demoFile(t, "system.yaml"))
	require.Equal(t, 303, a.post("/shop/add", "what", "run", "into", "main", "name", "end", "size", "125", "length", "3").Code)
	require.Equal(t, 303, a.post("/shop/add", "what", "drop", "into", "end", "name", "lathe", "size", "none", "hose", "none", "gate", "machine").Code)
	assert.Contains(t, a.file("system.yaml"), "{id: lathe, duct: end,")
	assert.Contains(t, a.file("system.yaml"), "gate: lathe}")
	require.Equal(t, 303, a.post("/shop/add", "what", "drop", "into", "slip-run", "name", "router", "size", "none", "hose", "80", "hose-length", "2", "enters", "45", "gate", "pipe").Code)
	assert.Contains(t, a.file("system.yaml"), "{id: router-hose, into: slip-run, diameter: 80, length: 2, material: flexible, enters: 45, gate: {id: router, at: downstream}}")
	a.sound()
	w := a.post("/shop/add", "what", "drop", "into", "loft-run", "name", "mortiser", "size", "100", "length", "2", "hose", "none", "gate", "none")
	require.Equal(t, 303, w.Code)
	assert.Contains(t, a.get(strings.TrimSuffix(w.Header().Get("Location"), "#run")).Body.String(), "Add another machine to loft-run", "the next is one tap away")
	assert.Equal(t, 422, a.post("/shop/add", "what", "drop", "into", "slip-run", "name", "jigsaw", "size", "none", "hose", "none", "gate", "machine").Code)
}

// Of a fan that is a guess the page says how wide it is known.
func TestAFanThatIsAGuess(t *testing.T) {
	a := over(t, demoFile(t, "system.yaml"))
	assert.NotContains(t, stripped(a.get("/shop").Body.String()), "begin a round: its readings do")
	for _, form := range [][]string{{"motor", "2.2", "wheel", "300"}, {"most_air", "2600", "most_suction", "2300"}} {
		require.Equal(t, 303, a.post("/shop/word", append(form, "key", "collector.fan")...).Code)
		said := stripped(a.get("/shop").Body.String())
		assert.Contains(t, said, "begin a round: its readings do")
		assert.Regexp(t, `%|between| to `, said)
		t.Log(regexp.MustCompile(`[^>]{0,200}begin a round`).FindString(said))
	}
	require.Equal(t, 303, a.post("/shop/word", "key", "collector.cyclone", "chip", "true").Code)
	require.Equal(t, 303, a.post("/shop/word", "key", "collector.filter", "chip", "true").Code)
	said := stripped(a.get("/shop").Body.String())
	assert.Contains(t, said, "Cyclone, its loss a guess")
	assert.Contains(t, said, "The filter's loss is taken as")
	assert.Contains(t, said, "Nothing to put right.")
	require.Equal(t, 303, a.post("/shop/word", "key", "collector.cyclone", "drop", "300", "at", "1500").Code)
	assert.Contains(t, a.file("system.yaml"), "cyclone: {drop: 300, at: 1500}")
}

// stripped is a page's text.
func stripped(page string) string {
	var b strings.Builder
	in := false
	for _, c := range page {
		switch {
		case c == '<':
			in = true
			b.WriteByte(' ')
		case c == '>':
			in = false
		case !in:
			b.WriteRune(c)
		}
	}
	return strings.NewReplacer("&#39;", "'", "&#34;", `"`, "&amp;", "&").Replace(b.String())
}

// What was said of a machine's need stands when a further port is told without one; what
// the page had taken by itself is added to.
func TestANeedThatWasSaidStands(t *testing.T) {
	a := over(t, demoFile(t, "system.yaml"))
	port := []string{"what", "drop", "into", "slip-run", "size", "100", "length", "2", "hose", "100", "hose-length", "1", "gate", "machine", "need", "carries"}
	add := func(more ...string) float64 {
		t.Helper()
		require.Equal(t, 303, a.post("/shop/add", append(slices.Clone(port), more...)...).Code)
		sys := a.sound()
		if len(sys.Machines) == 0 {
			return 0
		}
		return sys.Machines[len(sys.Machines)-1].Need
	}
	assert.InDelta(t, 1120.0/3600, add("name", "", "of", "planer"), 1e-9, "it was said in the file")
	assert.InDelta(t, 1120.0/3600, add("name", "", "of", "planer"), 1e-9)
	assert.InDelta(t, 1520.0/3600, add("name", "", "of", "planer", "need-typed", "400"), 1e-9, "a need that is typed is added")
	add("name", "carver")
	assert.InDelta(t, 2*0.157, add("name", "", "of", "carver"), 0.01, "what carries dust in both its ports")
}
