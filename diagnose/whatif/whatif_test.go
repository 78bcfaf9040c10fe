package whatif_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/expect"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/whatif"
	"lostair/readings"
	"lostair/readings/units"
)

func rowOf(t *testing.T, g whatif.Gates, what, where string, q units.Quantity) (before, after float64) {
	for _, r := range g.Rows {
		if r.What == what && r.Where == where && r.Quantity == q {
			return r.Before, r.After
		}
	}
	require.FailNow(t, "no row", "%s %s %s", what, where, q)
	return 0, 0
}

func TestCompareMovesTheAirTheWayItMust(t *testing.T) {
	sys := kit.DemoSystem(t)
	saw := []readings.Open{{Gates: []string{"saw"}}}
	for _, c := range []struct {
		set  string
		more bool // air at the saw
	}{
		{"saw-hose.diameter=125 mm", true},
		{"saw-hose.diameter=4 in", false},
		{"saw-hose.length=3.5", false},
		{"saw-hose.material=pvc", true},
		{"saw-hose.roughness=0.01 mm", true},
		{"loft-run.enters=90", false},
		{"main.loss=1", false},
		{"main.leak=20 cm2", false},
		{"main.blockage=40%", false},
		{"saw.hood=bellmouth", true},
		{"saw.hood=2.5", false},
		{"saw.blockage=50 %", false},
		{"saw.travel=40%", false},
		{"planer.leak=10 cm2", false},
		{"bin.leak=15 cm2", false},
		{"collector.inlet=125", false},
		{"filter=3x", false},
		{"filter=0.5", true},
		{"cyclone=1.5x", false},
		{"fan=90%", false},
	} {
		w, err := whatif.Compare(t.Context(), sys, []string{c.set}, saw)
		require.NoError(t, err, c.set)
		before, after := rowOf(t, w.Settings[0], "port", "saw", units.FlowRate)
		require.NotEqual(t, before, after, c.set)
		require.Equal(t, c.more, after > before, "%s: %g to %g", c.set, before, after)
	}
	d, _ := sys.DuctNamed("saw-hose")
	require.InDelta(t, 0.110, sys.Ducts[d].Diameter, 1e-9, "the user's system stays as it is")
}

func TestCompareBeforeIsWhatExpectSays(t *testing.T) {
	sys := kit.DemoSystem(t)
	open := readings.Open{Gates: []string{"planer", "saw"}}
	w, err := whatif.Compare(t.Context(), sys, []string{"filter=1x"}, []readings.Open{open})
	require.NoError(t, err)
	e, err := expect.Expect(sys, open)
	require.NoError(t, err)
	for _, p := range e.Points {
		if p.Port && (p.Point == "saw" || p.Point == "planer") {
			want, _ := p.Value(units.FlowRate)
			before, after := rowOf(t, w.Settings[0], "port", p.Point, units.FlowRate)
			require.InEpsilon(t, want, before, 1e-9)
			require.InEpsilon(t, before, after, 1e-9, "a filter as it is changes nothing")
		}
	}
}

func TestCompareNamesTheNearest(t *testing.T) {
	sys := kit.DemoSystem(t)
	for _, c := range []struct{ set, says string }{
		{"sawhose.diameter=125", `did you mean "saw-hose"?`},
		{"saw-hose.diametre=125", `did you mean "diameter"?`},
		{"fliter=2x", `did you mean "filter"?`},
		{"filter", "key=value"},
		{"saw-hose.diameter=wide", "saw-hose.diameter=wide"},
		{"saw-hose.diameter=-5", "not possible"},
		{"saw-drop.length=1", "T-saw"}, // the tap lies beyond
		{"saw-hose.material=wood", "known are"},
		{"main.enters=120", "0 to 90"},
		{"zzz.diameter=1", "name a duct"},
		{"foo=1", "of a duct, port or gate ID.KEY, see lostair whatif --help"},
	} {
		_, err := whatif.Compare(t.Context(), sys, []string{c.set}, nil)
		require.ErrorContains(t, err, c.says, c.set)
	}
	long := strings.Repeat("(", 10_000)
	for _, set := range []string{long, long + "=1", long + ".diameter=1", "filter." + long + "=1", "filter=" + long, "saw-hose.diameter=" + long, "saw-hose.material=" + long, "main.enters=" + long} {
		_, err := whatif.Compare(t.Context(), sys, []string{set}, nil)
		require.Error(t, err)
		require.Less(t, len(err.Error()), 1000, "not all that was written is said again: %.200s", err)
	}
	_, err := whatif.Compare(t.Context(), sys, nil, []readings.Open{{Gates: []string{"swa"}}})
	require.ErrorContains(t, err, `did you mean "saw"?`)
}

// A hole halfway along a duct is one hole there, wherever the duct has its taps.
func TestALeakIsOneHole(t *testing.T) {
	sys := kit.DemoSystem(t)
	saw := []readings.Open{{Gates: []string{"saw"}}}
	d, ok := sys.DuctNamed("saw-drop")
	require.True(t, ok)
	flows := func(at ...float64) (port, tap float64) {
		x := sys.Copy()
		x.Ducts[d].Taps = nil
		for i, share := range at {
			x.Ducts[d].Taps = append(x.Ducts[d].Taps, duct.Tap{ID: "T" + string(rune('a'+i)), Distance: share * x.Ducts[d].Length})
		}
		require.Empty(t, x.Finish())
		w, err := whatif.Compare(t.Context(), x, []string{"saw-drop.leak=20 cm2"}, saw)
		require.NoError(t, err)
		for _, r := range w.Settings[0].Rows {
			require.NotContains(t, r.Where, "halfway", "the place of the hole is no tap of the system")
		}
		_, port = rowOf(t, w.Settings[0], "port", "saw", units.FlowRate)
		_, tap = rowOf(t, w.Settings[0], "tap", "Ta", units.StaticPressure)
		return port, tap
	}
	port, _ := flows(0.5)
	beside, below := flows(0.9)
	require.InEpsilon(t, port, beside, 1e-3)
	none, err := whatif.Compare(t.Context(), sys, []string{"saw-drop.leak=0 cm2"}, saw)
	require.NoError(t, err)
	_, sound := rowOf(t, none.Settings[0], "port", "saw", units.FlowRate)
	require.Less(t, port, 0.98*sound)
	twice, both := flows(0.9, 0.5)
	require.InEpsilon(t, beside, twice, 1e-3)
	require.InEpsilon(t, below, both, 1e-3)
}

// What a gate leaves open when shut is all that it leaves open.
func TestAGatesLeakIsAllThatItLeavesOpen(t *testing.T) {
	sys := kit.DemoSystem(t)
	m, err := airflow.New(sys, airflow.Options{})
	require.NoError(t, err)
	g, ok := m.GateIndex("planer")
	require.True(t, ok)
	e := &whatif.Edit{Sys: sys.Copy()}
	_, p := e.Take("planer.leak=10 cm2")
	require.Nil(t, p)
	c := m.Coefs()
	require.Positive(t, c.GateArea[g])
	e.Coefs(m, &c)
	require.InDelta(t, 10e-4, c.GateArea[g], 1e-12)
}

// Ports of one machine have one need: it is set by the machine's id, also where a port
// has that id too, and a port's share of it is not set by itself.
func TestTheNeedOfAMachineIsSet(t *testing.T) {
	sys := kit.DemoSystem(t)
	var two []int
	for i := range sys.Ports[:2] {
		sys.Ports[i].Need = 0
		two = append(two, i)
	}
	sys.Machines = []duct.Machine{{ID: "big one", Ports: two, Need: 0.2}}
	require.NoError(t, sys.Finish().Err())
	a, b := sys.Ports[0].ID, sys.Ports[1].ID
	all := []readings.Open{{All: true}}

	_, err := whatif.Compare(t.Context(), sys, []string{a + ".need=900 m3/h"}, all)
	require.ErrorContains(t, err, `port "`+a+`" shares the need of its machine "big one", 720 m3/h; set that of the machine: 'big one.need=900 m3/h'`)
	keys, _ := whatif.KeysOf(sys)
	require.Contains(t, keys, "big one.need")
	require.NotContains(t, keys, a+".need")

	needs := func(set string) (sum float64) {
		w, err := whatif.Compare(t.Context(), sys, []string{set}, all)
		require.NoError(t, err)
		for _, r := range w.Settings[0].Rows {
			if r.What == "port" && (r.Where == a || r.Where == b) {
				sum += r.Least
			}
		}
		return sum
	}
	require.InDelta(t, 0.25, needs("big one.need=900 m3/h"), 1e-9)
	sys.Machines[0].ID = a
	require.InDelta(t, 0.3, needs(a+".need=1080 m3/h"), 1e-9)
}
