package show

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestChance(t *testing.T) {
	for p, want := range map[float64]string{1: "almost certain", 0.98: "almost certain", 0.9799: "very likely", 0.9: "very likely",
		0.89: "likely", 0.7: "likely", 0.69: "more likely than not", 0.5: "more likely than not", 0.49: "possible", 0.25: "possible",
		0.24: "unlikely", 0.05: "unlikely", 0.049: "very unlikely", 0: "very unlikely"} {
		assert.Equal(t, want, Chance(p), p)
	}
	for p, want := range map[float64]string{1: "over 99 %", 0.991: "over 99 %", 0.99: "99 %", 0.5: "50 %", 0.01: "1 %", 0.0099: "under 1 %", 0: "under 1 %"} {
		assert.Equal(t, want, Percent(p), p)
	}
}
