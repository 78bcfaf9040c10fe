package airflow

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A friction factor carried on from one nearby is that worked out anew, to the
// third order that the comment on near promises.
func TestFrictionCarriedOn(t *testing.T) {
	m, err := New(edgeSystem(t, edge{}), Options{})
	require.NoError(t, err)
	x := m.DuctSegments(0)[0]
	l := &m.link[x]
	for _, re := range []float64{6e3, 1e5, 2e6} {
		for _, off := range []float64{-0.9 * near, 0.9 * near} {
			s := m.NewState()
			s.friction(x, l, re)
			got, slope := s.friction(x, l, re*(1+off))
			want, df, _ := frictionFactor(re*(1+off), l.rel, 0)
			require.InEpsilon(t, want, got, 1e-8, "Re %g", re)
			require.InEpsilon(t, df*re*(1+off), slope, 1e-4, "Re %g", re)
		}
	}
}
