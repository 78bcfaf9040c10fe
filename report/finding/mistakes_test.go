package finding

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"lostair/report/show"
)

func TestAFactorInWords(t *testing.T) {
	for v, want := range map[float64]string{0.5: "0.5 times", 0.97: "slightly less than", 1.01: "slightly more than", 1.06: "about 6 % more than", 0.9: "about 10 % less than", 1.102: "about 10 % more than", 1.3: "1.3 times", 2.13: "2.1 times"} {
		assert.Equal(t, want, times(v))
	}
}

// The zero of an instrument is told in the digits that are known.
func TestAZeroThatIsOffInItsDigits(t *testing.T) {
	assert.Equal(t, "+9.9", signed(show.Interval{Value: 9.902, Low: 8.1, High: 11.7}))
	assert.Equal(t, "-10", signed(show.Interval{Value: -10.2, Low: -30, High: 9}))
}
