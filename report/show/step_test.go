package show

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// A range is said in three figures, unless that would hide how narrow it is.
func TestStep(t *testing.T) {
	for _, c := range []struct{ low, high, step float64 }{
		{5312, 6871, 10}, {-5312, -4100, 10}, {0, 1000, 10}, {0, 999.4, 0}, {961, 1007, 0}, {950, 1000, 10}, {1000, 1049, 0},
		{9000, 10000, 100}, {9000, 9999, 10}, {12345, 23456, 100}, {12345, 12800, 0}, {1.2, 3.4, 0}, {0, 0, 0},
	} {
		assert.Equal(t, c.step, Step(c.low, c.high), "%g to %g", c.low, c.high)
	}
	other := func(float64) string { return "other" }
	assert.Equal(t, "5310", Ranged(5312, 10, other))
	assert.Equal(t, "1000", Ranged(999.6, 10, other))
	assert.Equal(t, "other", Ranged(969, 10, other), "it has three figures")
	assert.Equal(t, "1230", Ranged(1234, 100, other))
	assert.Equal(t, "other", Ranged(-3, 10, other))
	assert.Equal(t, "other", Ranged(5312, 0, other))
}

// What is rounded moves by half a step at most, and that is a tenth of the range at most.
func TestStepKeepsTheRange(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(-1e6, 1e6).Draw(t, "low")
		high := low + rapid.Float64Range(0, 1e6).Draw(t, "width")
		step := Step(low, high)
		assert.LessOrEqual(t, 5*step, high-low)
		if step > 0 {
			assert.LessOrEqual(t, max(high, -low)/step, 1000.)
		}
	})
}
