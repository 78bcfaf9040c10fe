package fault

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/diagnose/trial/plant"
	"lostair/readings/units"
)

// A duct that has changed is no fault, loses more or less than it did, and its
// slopes are those of what it does.
func TestDuctsThatMayHaveChanged(t *testing.T) {
	m, err := airflow.New(plant.New(3, 4, units.Metric), airflow.Options{})
	require.NoError(t, err)
	list := Alterations(m, 10)
	require.NotEmpty(t, list)
	for i, s := range list {
		require.Equal(t, Altered, s.Kind)
		require.Greater(t, s.Prior, 0.0)
		more, less := s.Variants[0], s.Variants[1]
		require.Equal(t, 10+i, more.Site)
		require.InDelta(t, 1, more.Weight+less.Weight, 1e-12)
		require.False(t, Broken(s.Variants))
		require.Greater(t, more.Amount(more.Usual().Mean), 0.0)
		require.Less(t, less.Amount(less.Usual().Mean), 0.0)
		const z, e = 0.3, 1e-3
		a, b := m.Coefs(), m.Coefs()
		more.Apply(&a, z-e)
		more.Apply(&b, z+e)
		for _, d := range more.Slopes(&a, z) {
			got := (*d.Slot.Of(&b) - *d.Slot.Of(&a)) / (2 * e)
			require.GreaterOrEqual(t, math.Abs(got), math.Abs(d.By)*0.99)
		}
	}
	require.True(t, Broken(append(Sites(m)[0].Variants, list[0].Variants...)))
}
