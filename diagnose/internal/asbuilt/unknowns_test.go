package asbuilt_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/diagnose/internal/asbuilt"
)

// The bounds of a part are reached smoothly: the slope said is the slope there is.
func TestPartsBendToTheirBounds(t *testing.T) {
	for _, added := range []bool{false, true} {
		p := asbuilt.PartUnknown{Part: airflow.Part{Slot: airflow.Slot{Kind: airflow.SlotK}, Base: 0.4}, Added: added}
		at := func(e float64) (v, slope float64) {
			c := airflow.Coefs{K: make([]float64, 1)}
			slope = p.As(e, &c)
			return c.K[0], slope
		}
		for e := -6.0; e <= 6; e += 0.05 {
			const h = 1e-6
			a, _ := at(e - h)
			b, _ := at(e + h)
			v, slope := at(e)
			require.InDelta(t, (b-a)/(2*h), slope, 1e-4*max(1, math.Abs(slope)), "added %v, deviation %v", added, e)
			if added {
				require.Greater(t, v, p.Base-asbuilt.LeastAdded)
			} else {
				require.Positive(t, v)
			}
		}
		v, _ := at(0)
		require.InDelta(t, p.Base, v, 1e-12)
		v, _ = at(-0.2)
		if added {
			require.InDelta(t, 0.2, v, 1e-12, "no bound near the page")
		}
	}
}
