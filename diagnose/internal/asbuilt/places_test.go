package asbuilt_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/floats"

	"lostair/diagnose/airflow"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/kit"
)

// A bend stands on one side of a tap or the other: what one has more the other
// has less, as much as there is to know, and the duct's loss stays what it is.
func TestABendStandsSomewhere(t *testing.T) {
	for _, x := range []struct {
		fittings string
		at       string
		spread   float64 // of the share upstream of the tap
	}{
		{"fittings: [{elbow: 90, radius: 1.5}], ", "1.75", 0.5},
		{"fittings: [{elbow: 90, radius: 1.5, count: 4}], ", "1.75", 0.25},
		{"fittings: [{elbow: 90, radius: 1.5}, {loss: 0.4}], ", "0.7", 0.4 / math.Sqrt2},
		{"", "1.75", 0},
	} {
		drop := strings.Replace(kit.DropB, "taps: {B2: 3.1}", x.fittings+"taps: {B2: "+x.at+"}", 1)
		r := kit.RulesOf(t, strings.Replace(kit.RuleShop, kit.DropB, drop, 1))
		u := asbuilt.NewUnknowns(r.M)
		segs := r.M.DuctSegments(r.Duct("drop-b"))
		of := func(theta []float64) (out []float64) {
			c := r.M.NewCoefs()
			u.Coefs(theta, &c, make([]float64, len(u.Parts)))
			for _, x := range segs {
				out = append(out, c.K[x])
			}
			return out
		}
		page := of(make([]float64, u.N))
		k := 0.0
		for _, p := range u.M.Parts() {
			if p.Duct == int32(r.Duct("drop-b")) && (p.What == airflow.Bends || p.What == airflow.FreeLoss) {
				k += p.Base
			}
		}
		moved := 0.0
		for i := range u.N {
			theta := make([]float64, u.N)
			theta[i] = 0.3
			if d := of(theta); math.Abs(floats.Sum(d)-floats.Sum(page)) < 1e-12 && math.Abs(d[0]-page[0]) > 1e-9 {
				moved = max(moved, math.Abs(d[0]-page[0]))
			}
		}
		require.InDelta(t, 0.3*asbuilt.BendPlace*x.spread*k, moved, 1e-9, "%q", x.fittings)
	}
}
