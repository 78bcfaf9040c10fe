package duct

import (
	"math"
	"testing"

	"lostair/readings/units"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// built is a small valid System made in Go.
func built() *System {
	return &System{
		Air: Air{Standard: true},
		Collector: Collector{Inlet: 0.15, Curve: []CurvePoint{{0, 2000}, {0.5, 0}},
			Filter: &Drop{Pressure: 100, At: 0.3}},
		Ducts: []Duct{
			{ID: "a", Into: 1, Straight: true, Diameter: 0.1, Length: 2, Material: "flexible"},
			{ID: "b", Into: IntoCollector, Straight: true, Diameter: 0.15, Length: 4, Material: "spiral",
				Taps: []Tap{{ID: "far", Distance: 3}, {ID: "near", Distance: 1}}},
		},
		Ports: []Port{{ID: "p", Duct: 0, Hood: "plain"}},
	}
}

func TestFinish(t *testing.T) {
	s := built()
	require.Empty(t, s.Finish())
	assert.Equal(t, []int{1, 0}, s.Order)
	assert.Equal(t, []int{0}, s.Ducts[1].Children)
	assert.Equal(t, 0, s.Ducts[0].Port)
	assert.Equal(t, -1, s.Ducts[1].Port)
	assert.Equal(t, []Part{Fan, Filter}, s.Collector.Order)
	assert.Equal(t, "near", s.Ducts[1].Taps[0].ID)
	assert.Equal(t, 293.15, s.Air.Temperature)
	d, tap, ok := s.TapAt("far")
	assert.True(t, ok)
	assert.Equal(t, [2]int{1, 1}, [2]int{d, tap})

	s.Ducts = append(s.Ducts, Duct{ID: "c", Into: 1, Angle: math.Pi / 4, Diameter: 0.1, Length: 1, Roughness: 1e-4})
	s.Ports = append(s.Ports, Port{ID: "q", Duct: 2, Loss: 1})
	require.Empty(t, s.Finish(), "again, after a change")
	assert.Equal(t, []int{0, 2}, s.Ducts[1].Children)
	i, ok := s.DuctNamed("c")
	assert.True(t, ok)
	assert.Equal(t, 2, i)
}

// What is wrong with a System built in Go is found as in a file.
func TestFinishFinds(t *testing.T) {
	for _, row := range []struct {
		want  string
		spoil func(*System)
	}{
		{`flows into duct number 7`, func(s *System) { s.Ducts[0].Into = 7 }},
		{`port "p" is on duct number -1`, func(s *System) { s.Ports[0].Duct = -1 }},
		{`flow in a loop: "b" → "b"`, func(s *System) { s.Ducts[1].Into = 1 }},
		{`nothing flows into the collector`, func(s *System) { s.Ducts, s.Ports = nil, nil }},
		{`has no port`, func(s *System) { s.Ports = nil }},
		{`duct "a": diameter NaN mm is not possible`, func(s *System) { s.Ducts[0].Diameter = math.NaN() }},
		{`duct "a": length +Inf m is not possible`, func(s *System) { s.Ducts[0].Length = math.Inf(1) }},
		{`material "tin" is not known`, func(s *System) { s.Ducts[0].Material = "tin" }},
		{`duct "a" has no material`, func(s *System) { s.Ducts[0].Material = "" }},
		{`has both material and roughness`, func(s *System) { s.Ducts[0].Roughness = 1e-4 }},
		{`enters 0° is not possible`, func(s *System) { s.Ducts[0].Straight = false }},
		{`hood "bell" is not known`, func(s *System) { s.Ports[0].Hood = "bell" }},
		{`count 0 is not possible`, func(s *System) { s.Ducts[0].Fittings = []Fitting{{Loss: 1}} }},
		{`radius 0 is not possible`, func(s *System) { s.Ducts[0].Fittings = []Fitting{{Elbow: true, Angle: 1, Count: 1}} }},
		{`distance NaN m is not possible`, func(s *System) { s.Ducts[1].Taps[0].Distance = math.NaN() }},
		{`there is a second duct "a"`, func(s *System) { s.Ducts[1].ID = "a" }},
		{`a duct id is empty`, func(s *System) { s.Ducts[1].ID = "" }},
		{`the fan curve has fewer than two points`, func(s *System) { s.Collector.Curve = s.Collector.Curve[:1] }},
		{`the collector: inlet 0 mm is not possible`, func(s *System) { s.Collector.Inlet = 0 }},
		{`the filter: at 0 m3/h is not possible`, func(s *System) { s.Collector.Filter.At = 0 }},
		{`order: part 9 is not known`, func(s *System) { s.Collector.Order = []Part{Fan, Filter, 9} }},
		{`order lacks the fan`, func(s *System) { s.Collector.Order = []Part{Filter} }},
		{`temperature 0 K`, func(s *System) { s.Air = Air{Temperature: 1e-9} }},
		{`instrument "g" would be free of error`, func(s *System) { s.Instruments = []Instrument{{ID: "g"}} }},
	} {
		s := built()
		row.spoil(s)
		problems := s.Finish()
		if row.want == "temperature 0 K" { // shown in the System's own unit
			row.want = "temperature -273.15 degC is not possible"
		}
		assert.Contains(t, problems.Error(), row.want)
		assert.Error(t, problems.Err(), row.want)
	}
}

// A chain of ducts as long as can be is put in order without recursion.
func TestDeepChain(t *testing.T) {
	s := built()
	s.Ducts = s.Ducts[:0]
	const n = 50_000
	for i := range n {
		s.Ducts = append(s.Ducts, Duct{ID: "d" + units.Decimal(float64(i)), Into: i - 1, Straight: true, Diameter: 0.1, Length: 1, Material: "pvc"})
	}
	s.Ports[0].Duct = n - 1
	require.Empty(t, s.Finish())
	assert.Len(t, s.Order, n)
}
