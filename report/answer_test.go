package report

import (
	"testing"

	"lostair/report/show"

	"github.com/stretchr/testify/require"
)

// What a step gains never reads as if the port had enough before it.
func TestGainOfWhatIsJustShort(t *testing.T) {
	g := Gain{Port: "saw", Open: "saw", Before: 1878, Need: 1882, After: &show.Interval{Value: 2600, Low: 2440, High: 2760, Unit: "m3/h"}}
	require.Equal(t, "With gate saw open, saw gets 2600 in place of slightly less than the 1882 m3/h that it needs.", GainWords([]Gain{g}))
	g.Before = 1500
	require.Equal(t, "With gate saw open, saw gets 2600 in place of 1500 m3/h (needs 1882).", GainWords([]Gain{g}))
}
