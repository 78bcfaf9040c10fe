package observe

import (
	"lostair/diagnose/fault"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/readings"
	"lostair/readings/units"
)

// Few readings may be alike by chance; more that are all the same are a copy,
// and one that differs makes it none.
func TestWhatIsACopy(t *testing.T) {
	survey := func(values ...float64) *readings.Survey {
		s := &readings.Survey{File: "x.csv"}
		for i, v := range values {
			s.Readings = append(s.Readings, readings.Reading{Point: string(rune('A' + i)), Quantity: units.StaticPressure, Value: v})
		}
		return s
	}
	require.False(t, Copied(survey(-1, -2, -3), survey(-1, -2, -3)))
	require.True(t, Copied(survey(-1, -2, -3, -4), survey(-1, -2, -3, -4)))
	require.True(t, Copied(survey(-1, -2, -3, -4, -5), survey(-1, -2, -3, -4)), "and more")
	require.False(t, Copied(survey(-1, -2, -3, -4), survey(-1, -2, -3, -4.5)))
	require.False(t, Copied(survey(-1, -2, -3, -4), survey(-1, -2, -4, -3)))

	use, doubts := Earlier([]*readings.Survey{survey(-1, -2, -3, -4), survey(-1, -2, -3, -5)}, survey(-1, -2, -3, -4))
	require.Len(t, use, 1)
	require.Equal(t, -5.0, use[0].Readings[3].Value)
	require.Equal(t, []fault.Doubt{{Kind: fault.BaselineCopied, File: "x.csv"}}, doubts)
}
