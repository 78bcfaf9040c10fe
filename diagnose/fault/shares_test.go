package fault

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/diagnose/trial/plant"
	"lostair/readings/units"
)

// Each kind has its own share of the faults that are expected, whatever the
// system has of places; own choice, see the package's page.
func TestEachKindHasItsShare(t *testing.T) {
	m, err := airflow.New(plant.New(2, 12, units.Metric), airflow.Options{})
	require.NoError(t, err)
	got := map[Kind]float64{}
	for _, s := range Sites(m) {
		got[s.Kind] += s.Prior
	}
	want := map[Kind]float64{Leak: 0.24, Blockage: 0.28, GateRestricted: 0.18, GateLeaking: 0.11, FilterLoaded: 0.08, FanWeak: 0.11}
	for _, k := range SearchedKinds() {
		require.Contains(t, want, k)
		require.InDelta(t, want[k], got[k], 1e-9, k.String())
	}
}

// A span is a value's 90 % interval: 1.645 standard deviations either way.
func TestSpanIsNineInTen(t *testing.T) {
	s := SpanOf(10, 2)
	require.Equal(t, 10.0, s.Value)
	require.InDelta(t, 10-3.29, s.Low, 1e-3)
	require.InDelta(t, 10+3.29, s.High, 1e-3)
}
