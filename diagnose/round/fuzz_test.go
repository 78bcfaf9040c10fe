package round_test

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/round"
	"lostair/readings"
	"lostair/readings/units"
)

const fuzzShop = `units: metric
collector: {inlet: 150, fan: {curve: [[0, 2900], [1600, 2300], [2800, 0]]}}
ducts:
  - {id: main, into: collector, diameter: 150, length: 4, material: spiral, taps: {M: 2}}
  - {id: drop, into: main, enters: 45, diameter: 100, length: 2, material: spiral, gate: saw, taps: {T: 1}}
ports:
  - {id: saw, duct: drop, hood: plain, need: 500}
`

// FuzzTyped: whatever a person types in a round, it is refused in words, or is a
// value that an instrument can show and that comes back the same from the file.
func FuzzTyped(f *testing.F) {
	sys, list := systemfile.Load([]byte(fuzzShop), "system.yaml")
	require.NoError(f, list.Err())
	for i, text := range []string{"", "-4.9", "4.9 in", "1,2 kPa", "−1200", "12 m/s", "yes", "no", "y", "NaN", "1e309", "-", "--3", "0x10", "1.2.3 Pa", "4.9\"", "3 inH2O", "\x00", "=1+1", "1e-320", "999999999 Pa", "٣", "1 200 Pa", "20 °F"} {
		f.Add(text, "", uint8(i))
	}
	f.Add("5", "furlongs", uint8(0))
	rows := []readings.Row{
		{Open: readings.Open{Gates: []string{"saw"}}, Point: "T", Quantity: units.StaticPressure},
		{Open: readings.Open{Gates: []string{"saw"}}, Point: "saw", Quantity: units.MeanVelocity},
		{Open: readings.Open{All: true}, Point: "collector-inlet", Quantity: units.FlowRate},
	}
	for _, name := range readings.LookNames() {
		l, ok := readings.LookNamed(name)
		require.True(f, ok)
		rows = append(rows, readings.Row{Open: readings.Open{Gates: []string{"saw"}}, Point: "saw", Look: l})
	}
	f.Fuzz(func(t *testing.T, text, unit string, which uint8) {
		for _, sysUnits := range []units.System{units.Metric, units.US} {
			s := *sys
			s.Units = sysUnits
			r := &round.Round{Situation: round.Situation{System: &s}}
			q := &round.Question{Row: rows[int(which)%len(rows)]}
			row, _, err := r.Typed(q, text, unit)
			if err != nil {
				require.NotEmpty(t, strings.TrimSpace(err.Error()))
				continue
			}
			require.False(t, math.IsNaN(row.Value) || math.IsInf(row.Value, 0), "%q is %v", text, row.Value)
			require.LessOrEqual(t, math.Abs(row.Value), 1e6)
			data, err := readings.Append(readings.Start("# x"), row, sysUnits)
			require.NoError(t, err)
			back, bad := readings.Load(bytes.NewReader(data), "round.csv", sysUnits)
			if bad.Err() != nil {
				continue // a value that this quantity can't have; the round says so when it reads its file
			}
			require.Equal(t, 1, len(back.Rows)+len(back.Looks), "%q is one row: %s", text, data)
			for _, b := range back.Rows {
				require.InDelta(t, row.Value, b.Value, 1e-6*math.Max(1, math.Abs(row.Value)), "%q comes back as it was typed: %s", text, data)
			}
		}
	})
}

// FuzzLeft: whatever comments a readings file holds, what a round remembers in
// them comes back as it was written.
func FuzzLeft(f *testing.F) {
	f.Add("# not read: T (skipped)\n# Complaint: weak at saw.\n")
	f.Add("# not read: saw|T|static_pressure| (out of reach)\r\n")
	f.Add("# not read: ( (\n# not read:  ()")
	f.Fuzz(func(t *testing.T, text string) {
		for _, l := range round.LeftIn(text) {
			if strings.ContainsAny(l.Key+l.Point, "\r") || strings.TrimSpace(l.Key+l.Point) != l.Key+l.Point {
				continue
			}
			again := round.LeftIn(l.String())
			require.Len(t, again, 1, "%q", l.String())
			require.Equal(t, l, again[0])
		}
		readings.ComplaintIn(text)
	})
}
