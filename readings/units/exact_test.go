package units

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// NIST Special Publication 811 (2008), appendix B: conventional columns of
// water and mercury, to every digit that it gives (value from memory).
func TestConventionalColumns(t *testing.T) {
	for text, want := range map[string]float64{"1 mmH2O": 9.80665, "1 cmH2O": 98.0665, "1 inH2O": 249.08891, "1 mmHg": 133.322387415, "1 inHg": 3386.388640341} {
		v, err := Parse(text, Pressure, Metric)
		require.NoError(t, err)
		assert.InEpsilon(t, want, v.SI, 1e-10, text)
	}
	assert.InEpsilon(t, 25.4*mmH2O, inH2O, 1e-9)
	assert.InEpsilon(t, 13.5951*mmH2O, mmHg, 1e-9)
	assert.InEpsilon(t, 25.4*mmHg, inHg, 1e-9)
}
