package weigh_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/weigh"
	"lostair/diagnose/route"
)

// A trunk that starves its ports is made wider by itself.
func TestATrunkIsMadeWiderByItself(t *testing.T) {
	_, s := kit.TrialStudy(t, 406)
	trunk := route.Trunks(s.M.Sys)
	for port := range s.M.Sys.Ports {
		way := route.Of(s.M, port)
		last := way[len(way)-1]
		require.True(t, trunk[last])
		require.Equal(t, []int{last}, weigh.Narrower(s, port, last, 9))
		require.Empty(t, weigh.Narrower(s, port, last, 0))
		require.Equal(t, way[0], weigh.Narrower(s, port, way[0], 9)[0])
		require.NotContains(t, weigh.Narrower(s, port, way[0], 9), last)
	}
}

// Of a port of which hardly anything is known the diameter is still a number.
func TestADiameterIsANumberWhateverTheFlow(t *testing.T) {
	r := kit.NewRules(t)
	_, s := kit.TrialStudy(t, 406)
	s.M = r.M
	cfg := route.Alone(r.M, 0)
	for _, x := range []struct{ mean, sd, need float64 }{{0.2, 0.3, 0.4}, {0.2, 0.3, 0.1}, {-0.01, 0.02, 0.4}, {-0.2, 0.01, 0.4}, {0, 1e-12, 0.4}} {
		var flow numeric.Mixture
		flow.Add(1, x.mean, x.sd)
		d := r.Duct("hose-a")
		got := weigh.DiameterFor(s, 0, d, cfg, &flow, x.need)
		own := r.Sys.Ducts[d].Diameter
		require.LessOrEqual(t, own, got.Low, "%+v", x)
		require.LessOrEqual(t, got.Low, got.Value, "%+v", x)
		require.LessOrEqual(t, got.Value, got.High, "%+v", x)
		require.LessOrEqual(t, got.High, 3*own, "%+v", x)
	}
}
