package show

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// An interval's numbers have the decimals that its width deserves, and three figures
// are enough for a wide one.
func TestDigitsByWidth(t *testing.T) {
	for _, c := range []struct {
		iv        Interval
		mid, span string
	}{
		{Interval{Value: 0.85, Low: 0.7, High: 1}, "0.85", "0.70 to 1.00"},
		{Interval{Value: 19.4, Low: 13.9, High: 26.2}, "19", "14 to 26"},
		{Interval{Value: -10.94, Low: -13, High: -8.85}, "-10.9", "-13.0 to -8.8"},
		{Interval{Value: 2.1, Low: 1.8, High: 2.5}, "2.1", "1.8 to 2.5"},
		{Interval{Value: 7833, Low: 6820, High: 8845}, "7830", "6820 to 8850"},
		{Interval{Value: 1034, Low: 1011, High: 1045}, "1034", "1011 to 1045"},
		{Interval{Value: 0.735, Low: 0.706, High: 0.764}, "0.73", "0.71 to 0.76"},
		{Interval{Value: -0.001, Low: -2, High: 2}, "0.0", "-2.0 to 2.0"},
		{Interval{Value: 120, Low: 120, High: 120}, "120", "120 to 120"},
	} {
		assert.Equal(t, c.mid, c.iv.Mid())
		assert.Equal(t, c.span, c.iv.Span())
	}
}
