package airflow

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// Coefficients of nothing are laid as those of the page.
func TestCoefficientsOfNothing(t *testing.T) {
	m := pageModel(t)
	c := m.Coefs()
	none := m.NewCoefs()
	require.Len(t, none.Flat(), len(c.Flat()))
	for i, x := range c.Flat() {
		c.Flat()[i] = 0
		require.False(t, math.IsNaN(x))
	}
	require.Equal(t, c.Flat(), none.Flat())
}
