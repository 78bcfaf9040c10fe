package numeric

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// What readings near a quantity tell of it is the conditional of joint normals: by hand,
// two readings of variances 3 + 1 and 2 + 2 that share 1, of which the quantity shares 2
// and 1.
func TestReadingsNearByHand(t *testing.T) {
	quantity := []float64{9}
	of := func(own, with, e, noise float64, lost []float64) *NearReading {
		return &NearReading{Row: []float64{own}, E: e, Noise: noise, Lost: lost, With: func(row, _ []float64) float64 {
			switch {
			case row[0] == quantity[0]:
				return with
			case row[0] == own:
				return own
			}
			return 1
		}}
	}
	x := &Nearby{List: []*NearReading{of(3, 2, 4, 1, []float64{0}), of(2, 1, -2, 2, []float64{0})}}
	require.True(t, x.Factor())
	require.Equal(t, 4.0, x.Covariance(x.List[0], x.List[0]))
	require.Equal(t, 1.0, x.Covariance(x.List[0], x.List[1]))
	// S = (4 1; 1 4), S⁻¹ = (4 −1; −1 4)/15; S⁻¹e = (18, −12)/15, S⁻¹c = (7, 2)/15
	shift, less := x.On(quantity, nil, []float64{0})
	require.InDelta(t, (2*18-12)/15.0, shift, 1e-12)
	require.InDelta(t, (2*7+2)/15.0, less, 1e-12)
	// what was left out gives both 0.5·2·2
	x = &Nearby{Spare: 0.5, List: []*NearReading{of(3, 2, 4, 1, []float64{2}), of(2, 1, -2, 2, []float64{0})}}
	require.True(t, x.Factor())
	require.Equal(t, 6.0, x.Covariance(x.List[0], x.List[0]))
	shift, _ = x.On(quantity, nil, []float64{2})
	// S = (6 1; 1 4), S⁻¹e = (18, −16)/23; c = (2 + 2, 1)
	require.InDelta(t, (4*18-16)/23.0, shift, 1e-12)
	require.False(t, (&Nearby{}).Factor())
	shift, less = (*Nearby)(nil).On(quantity, nil, nil)
	require.Zero(t, shift)
	require.Zero(t, less)
}
