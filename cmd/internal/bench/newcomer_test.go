package bench

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct"
	"lostair/diagnose/duct/systemfile"
	"lostair/readings/units"
)

// mostTaps is how many taps and keys beside the numbers a shop of 22 ducts may cost.
const mostTaps = 300

// A shop from a sketch on paper, with a box duct, a machine of two ports, a slot for a
// port, hoses of several kinds and gates at either end, in feet and inches: 22 ducts.
func TestTwentyTwoDucts(t *testing.T) {
	ctx := browser(t)
	dir := t.TempDir()
	s := serveFolder(t, dir)
	p := &person{tab: openTab(t, ctx, phone, s.link())}
	p.sketched()
	t.Logf("22 ducts in %d taps and %d keys beside %d of numbers", p.taps, p.keys, p.numbers)
	assert.Less(t, p.taps+p.keys, mostTaps)
	p.must("Nothing to put right.")
	p.picture("newcomer-shop")

	data, err := os.ReadFile(filepath.Join(dir, "system.yaml"))
	require.NoError(t, err)
	sys, list := systemfile.Load(data, "system.yaml")
	require.NoError(t, list.Err())
	require.Len(t, sys.Ducts, 22)
	require.Len(t, sys.Ports, 10)
	in, cfm := units.Diameter.ToSI(units.US, 1), units.Flow.ToSI(units.US, 1)
	of := func(id string) *duct.Duct {
		for i := range sys.Ducts {
			if sys.Ducts[i].ID == id {
				return &sys.Ducts[i]
			}
		}
		require.Fail(t, "no run "+id, string(data))
		return nil
	}
	assert.InDelta(t, 8*in, of("main").Width, 1e-9)
	assert.Equal(t, "galvanised", of("main").Material)
	assert.InDelta(t, 0.15, of("drum sander-hose").Compressed, 1e-9)
	assert.True(t, of("router-hose").Lined)
	assert.Equal(t, "bandsaw", of("bandsaw-drop").Gate)
	assert.Equal(t, "planer", of("planer-hose").Gate)
	assert.Equal(t, "floor sweep", of("floor sweep-drop").Gate)
	assert.True(t, of("mortiser-hose").Straight)
	i, _ := sys.PortNamed("table saw")
	assert.InDelta(t, 6*in, sys.Ports[i].Opening.Height, 1e-9)
	require.Len(t, sys.Machines, 1)
	assert.InDelta(t, 900*cfm, sys.Machines[0].Need, 1e-9)
	assert.Len(t, sys.Machines[0].Ports, 2)
	p.calm(s.base)
}

// sketched types the sketch in.
func (p *person) sketched() {
	p.t.Helper()
	p.until("the start", `document.querySelector("[name=name]")`)
	p.pick("units", "us")
	p.do("Begin")
	p.do("size of the inlet")
	p.do("7 in")
	p.do("the fan: what do you know of it?")
	p.fill("most_air", "1500")
	p.fill("most_suction", "10")
	p.do("Take it")
	p.do("the cyclone")
	p.fill("drop", "2")
	p.fill("at", "900")
	p.do("Take it")
	p.do("the filter")
	p.fill("drop", "0.5")
	p.fill("at", "900")
	p.do("Take it")

	p.do("Add a run of pipe to the collector")
	p.fill("size-typed", "8 x 5")
	p.fill("length", "10")
	p.pick("n90", "1")
	p.pick("material", "galvanised")
	p.fill("tap", "6")
	p.do("Add it")
	p.do("Add a run of pipe to main")
	p.fill("name", "west")
	p.size("size", "6")
	p.fill("length", "16")
	p.pick("material", "spiral")
	p.do("Add it")
	p.machine("west", "planer", "5", "6", "5", "4", func() {})
	p.machine("west", "", "4", "5", "4", "5", func() {
		p.pick("of", "planer")
	})
	p.do("flow that the machine needs in all")
	p.fill("value", "900")
	p.do("Take it")
	p.machine("west", "bandsaw", "4", "7", "4", "3", func() { p.pick("gate", "pipe") })
	p.machine("west", "lathe", "4", "8", "4", "6", func() {})
	p.tap("main ")
	p.do("Add a run of pipe to main")
	p.fill("name", "east")
	p.size("size", "5")
	p.fill("length", "18")
	p.pick("n45", "1")
	p.do("Add it")
	p.machine("east", "drum sander", "4", "6", "4", "5", func() {
		p.fill("shorter", "15")
	})
	p.machine("east", "table saw", "5", "7", "4", "4", func() {
		p.fill("opening-typed", "2 x 6")
	})
	p.machine("east", "router", "4", "6", "2.5", "5", func() {
		p.pick("lining", "smooth")
	})
	p.machine("east", "floor sweep", "4", "8", "none", "", func() {
		p.pick("hood", "flanged")
	})
	p.tap("east ")
	p.do("Add a run of pipe to east")
	p.fill("name", "north")
	p.size("size", "4")
	p.fill("length", "9")
	p.do("Add it")
	p.machine("north", "mortiser", "none", "", "4", "6", func() {})
	p.machine("north", "spindle", "4", "3", "4", "3", func() { p.pick("n90", "2") })
}

// machine adds one with one bend, a hose and a gate at the machine, but for what more says.
func (p *person) machine(run, name, size, length, hose, hoseLength string, more func()) {
	p.t.Helper()
	button := "Add another machine to " + run
	if p.try(`(() => { const e = `+find(button)+`; return e ? "yes" : "no"; })()`) == "no" {
		button = "Add a machine to " + run
	}
	if p.try(`(() => { const e = `+find(button)+`; return e ? "yes" : "no"; })()`) == "no" {
		p.tap(run + " ")
	}
	p.do(button)
	if name != "" {
		p.tap(name)
	}
	p.want("size", size)
	if length != "" {
		p.fill("length", length)
		p.want("n90", "1")
	}
	if hose == size {
		hose = "same"
	}
	p.want("hose", hose)
	if hoseLength != "" {
		p.fill("hose-length", hoseLength)
	}
	more()
	p.do("Add it")
}

// want taps an answer that isn't chosen already.
func (p *person) want(name, value string) {
	p.t.Helper()
	if p.try(`document.querySelector("main input[name='`+name+`'][value='`+value+`']")?.checked ? "yes" : "no"`) == "yes" {
		return
	}
	p.size(name, value)
}
