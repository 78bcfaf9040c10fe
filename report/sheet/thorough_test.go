package sheet

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct"
	"lostair/diagnose/duct/systemfile"
	"lostair/readings"
)

const twoGates = `
units: metric
collector:
  inlet: 160
  fan: {curve: [[0, 2500], [1500, 2000], [2500, 500]]}
  filter: {drop: 200, at: 1500}
ducts:
  - {id: main, into: collector, diameter: 160, length: 5, material: spiral, taps: {M: 3}}
  - {id: a-drop, into: main, diameter: 100, length: 2, material: spiral, gate: a, taps: {A: 1}}
  - {id: b-drop, into: main, enters: 45, diameter: 100, length: 2, material: spiral, gate: b, taps: {B: 1}}
ports:
  - {id: a-port, duct: a-drop, hood: plain}
  - {id: b-port, duct: b-drop, hood: plain}
%s
`

// A thorough test reads hood, branch, main, collector, filter and fan in each
// setting in use.
func TestThoroughRound(t *testing.T) {
	for name, c := range map[string]struct {
		settings string
		want     map[string][]string
	}{
		"each gate alone": {"", map[string][]string{
			"a": {"a-port", "A", "M", readings.CollectorInlet, readings.Filter, readings.FanInlet, readings.FanOutlet},
			"b": {"b-port", "B", "M", readings.CollectorInlet, readings.Filter, readings.FanInlet, readings.FanOutlet}}},
		"the settings in use": {"settings: [a+b]", map[string][]string{
			"a+b": {"a-port", "A", "M", "b-port", "B", readings.CollectorInlet, readings.Filter, readings.FanInlet, readings.FanOutlet}}},
	} {
		t.Run(name, func(t *testing.T) {
			sys, list := systemfile.Load([]byte(twoGates[:len(twoGates)-len("%s\n")]+c.settings+"\n"), "system.yaml")
			require.NoError(t, list.Err())
			got, air := map[string][]string{}, 0
			for _, r := range ThoroughRound(sys) {
				if r.Quantity.OfAir() { // once, whatever the settings
					require.Equal(t, readings.Room, r.Point)
					air++
					continue
				}
				got[r.Open.String()] = append(got[r.Open.String()], r.Point)
			}
			require.Equal(t, c.want, got)
			require.Equal(t, 3, air)
		})
	}
	require.NotEmpty(t, looks(&duct.System{}))
}

// Between the collector's parts each pipe is read once.
func TestBetweenParts(t *testing.T) {
	in, out := readings.FanInlet, readings.FanOutlet
	for _, c := range []struct {
		order []duct.Part
		want  []string
	}{
		{[]duct.Part{duct.Fan}, []string{in, out}},
		{[]duct.Part{duct.Cyclone, duct.Fan, duct.Filter}, []string{in, out}},
		{[]duct.Part{duct.Fan, duct.Cyclone, duct.Filter}, []string{in, out, readings.CycloneOutlet}},
		{[]duct.Part{duct.Cyclone, duct.Filter, duct.Fan}, []string{in, out, readings.CycloneOutlet}},
		{[]duct.Part{duct.Filter, duct.Cyclone, duct.Fan}, []string{in, out, readings.CycloneInlet}},
	} {
		require.Equal(t, c.want, betweenParts(&duct.System{Collector: duct.Collector{Order: c.order}}), c.order)
	}
}
