package airflow

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/readings/units"
)

// The air of a day takes what was read in the place of what the page has. Dry air at
// 0 °C and 101,325 Pa weighs 1.293 kg/m3, at 20 °C 1.204 (tables; values from memory).
func TestDensityOfADaysAir(t *testing.T) {
	m := modelOf(t, oneDuct(0.1))
	with := func(read map[units.Quantity]float64) (float64, bool) {
		return m.DensityWith(func(q units.Quantity) (float64, bool) { v, ok := read[q]; return v, ok })
	}
	is := func(want float64, read map[units.Quantity]float64) {
		t.Helper()
		got, ok := with(read)
		require.True(t, ok)
		require.InDelta(t, want, got, 0.001)
	}
	is(1.204, nil)
	is(1.293, map[units.Quantity]float64{units.AirTemperature: 273.15})
	is(1.204*0.9, map[units.Quantity]float64{units.Barometer: 0.9 * 101325})
	for _, read := range []map[units.Quantity]float64{
		{units.Barometer: -1}, {units.Barometer: 0}, {units.AirTemperature: 0}, {units.Humidity: -0.1},
		{units.Barometer: 2000, units.Humidity: 1}, // water boils
		{units.Barometer: 0.69 * 101325}, {units.Barometer: 1.41 * 101325},
	} {
		_, ok := with(read)
		require.False(t, ok, "%v", read)
	}
	for _, share := range []float64{0.72, 1.38} {
		is(1.204*share, map[units.Quantity]float64{units.Barometer: share * 101325})
	}
}
