package report

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestAFactorInWords(t *testing.T) {
	for v, want := range map[float64]string{0.5: "0.5 times", 0.97: "slightly less than", 1.01: "slightly more than", 1.06: "1.1 times", 2.13: "2.1 times"} {
		assert.Equal(t, want, times(v))
	}
}
