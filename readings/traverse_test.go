package readings

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"lostair/readings/units"
)

// Distances from the wall as shares of the diameter, near half.
func TestTraversePositions(t *testing.T) {
	for _, c := range []struct {
		m    TraverseMethod
		n    int
		near []float64
		tol  float64
	}{
		// Log-linear: two instrument leaflets that quote ISO 3966; 10 positions from memory.
		{LogLinear, 6, []float64{0.032, 0.135, 0.321}, 0.0006},
		{LogLinear, 10, []float64{0.019, 0.077, 0.153, 0.217, 0.361}, 0.0006},
		// Virtual mine-ventilation laboratory, IIT Kharagpur, pitot experiment, eq. 1.
		{EqualArea, 10, []float64{0.026, 0.082, 0.146, 0.226, 0.342}, 0.0005},
		// 40 CFR 60 app. A-1 Method 1 table 1-2 (values from memory, printed to 0.1 %).
		{EqualArea, 2, []float64{0.146}, 0.0006},
		{EqualArea, 4, []float64{0.067, 0.250}, 0.0006},
		{EqualArea, 6, []float64{0.044, 0.146, 0.296}, 0.0006},
		{EqualArea, 8, []float64{0.032, 0.105, 0.194, 0.323}, 0.0006},
		{EqualArea, 12, []float64{0.021, 0.067, 0.118, 0.177, 0.250, 0.356}, 0.0006},
		{EqualArea, 16, []float64{0.016, 0.049, 0.085, 0.125, 0.169, 0.220, 0.283, 0.375}, 0.0006},
		{EqualArea, 20, []float64{0.013, 0.039, 0.067, 0.097, 0.129, 0.165, 0.204, 0.250, 0.306, 0.388}, 0.0006},
		{EqualArea, 24, []float64{0.011, 0.032, 0.055, 0.079, 0.105, 0.132, 0.161, 0.194, 0.230, 0.272, 0.323, 0.398}, 0.0006},
	} {
		got, err := TraversePositions(c.m, c.n, 1)
		require.NoError(t, err)
		require.Len(t, got, c.n)
		for i, want := range c.near {
			assert.InDelta(t, want, got[i], c.tol, "%v %d, %d", c.m, c.n, i+1)
			assert.InDelta(t, 1-want, got[c.n-1-i], c.tol, "%v %d, %d", c.m, c.n, c.n-i)
		}
	}
}

// NAVFAC MO-114 vol. 3 ch. 2, Q2-7: ten points across a 20 in. duct, the third
// at 2.93 in. (recomputed; the printed choice is 2.90).
func TestThirdPoint(t *testing.T) {
	at, err := TraversePositions(EqualArea, 10, units.Diameter.ToSI(units.US, 20))
	require.NoError(t, err)
	assert.InDelta(t, 2.93, units.Diameter.FromSI(units.US, at[2]), 0.005)
}

func TestTraverseRefusals(t *testing.T) {
	for _, c := range []struct {
		m    TraverseMethod
		n    int
		d    float64
		want string
	}{
		{LogLinear, 8, 0.1, "readings: a traverse of the log-linear kind has 6 or 10 positions, not 8"},
		{EqualArea, 7, 0.1, "readings: a traverse of the equal-area kind has 2, 4, 6 and so on to 100 positions, not 7"},
		{EqualArea, 0, 0.1, "readings: a traverse of the equal-area kind has 2, 4, 6 and so on to 100 positions, not 0"},
		{EqualArea, 102, 0.1, "readings: a traverse of the equal-area kind has 2, 4, 6 and so on to 100 positions, not 102"},
		{EqualArea, 6, 0, "readings: a traverse needs a duct's diameter, not 0 m"},
		{EqualArea, 6, math.NaN(), "readings: a traverse needs a duct's diameter, not NaN m"},
	} {
		_, err := TraversePositions(c.m, c.n, c.d)
		assert.EqualError(t, err, c.want)
	}
}

// Positions rise, lie within the duct, mirror each other, and by equal areas
// each stands for the same share of the bore.
func TestTraverseGeometry(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := 2 * rapid.IntRange(1, mostAcross/2).Draw(t, "half")
		d := rapid.Float64Range(0.05, 2).Draw(t, "diameter")
		at, err := TraversePositions(EqualArea, n, d)
		require.NoError(t, err)
		for i := range at {
			assert.True(t, at[i] > 0 && at[i] < d)
			assert.InDelta(t, d, at[i]+at[n-1-i], 1e-12)
			if i > 0 {
				assert.Greater(t, at[i], at[i-1])
			}
		}
		for i := 1; i < n/2; i++ { // r² falls by equal steps
			r0, r1 := 1-2*at[i-1]/d, 1-2*at[i]/d
			assert.InDelta(t, 2/float64(n), r0*r0-r1*r1, 1e-9)
		}
	})
}

// The log-linear positions to the digits that the code has: ISO 3966 type,
// value from memory. A slip in one of them moves a flow by less than any test
// against instruments would show.
func TestLogLinearDigits(t *testing.T) {
	for n, want := range map[int][]float64{6: {0.0321, 0.1349, 0.3207}, 10: {0.0189, 0.0765, 0.1525, 0.2171, 0.3612}} {
		got, err := TraversePositions(LogLinear, n, 1)
		require.NoError(t, err)
		for i, x := range want {
			assert.InDelta(t, x, got[i], 1e-5, "position %d of %d", i+1, n)
			assert.InDelta(t, 1-x, got[n-1-i], 1e-5)
		}
	}
}
