package diagnose

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/floats"

	"lostair/diagnose/airflow"
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
		drop := strings.Replace(dropB, "taps: {B2: 3.1}", x.fittings+"taps: {B2: "+x.at+"}", 1)
		r := rulesOf(t, strings.Replace(ruleShop, dropB, drop, 1))
		u := newUnknowns(r.m)
		segs := r.m.DuctSegments(r.duct("drop-b"))
		of := func(theta []float64) (out []float64) {
			c := r.m.NewCoefs()
			u.coefs(theta, &c, make([]float64, len(u.parts)))
			for _, x := range segs {
				out = append(out, c.K[x])
			}
			return out
		}
		page := of(make([]float64, u.n))
		k := 0.0
		for _, p := range u.m.Parts() {
			if p.Duct == int32(r.duct("drop-b")) && (p.What == airflow.Bends || p.What == airflow.FreeLoss) {
				k += p.Base
			}
		}
		moved := 0.0
		for i := range u.n {
			theta := make([]float64, u.n)
			theta[i] = 0.3
			if d := of(theta); math.Abs(floats.Sum(d)-floats.Sum(page)) < 1e-12 && math.Abs(d[0]-page[0]) > 1e-9 {
				moved = max(moved, math.Abs(d[0]-page[0]))
			}
		}
		require.InDelta(t, 0.3*bendPlace*x.spread*k, moved, 1e-9, "%q", x.fittings)
	}
}
