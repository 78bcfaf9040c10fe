package handbook

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct"
)

// K of a change of section on the smaller duct's velocity pressure: abrupt by
// Borda–Carnot when it widens, half of what is lost of the area when it
// narrows; a taper widening 0.4 of that, narrowing 0.05 (values from memory).
func TestSectionLoss(t *testing.T) {
	for _, r := range []struct {
		a, b   float64
		abrupt bool
		want   float64
	}{
		{1, 2, true, 0.25}, {1, 2, false, 0.1}, {1, 4, true, 0.5625},
		{2, 1, true, 0.25}, {2, 1, false, 0.05}, {4, 1, true, 0.375}, {4, 1, false, 0.05},
		{1, 1, true, 0}, {1, 1, false, 0},
	} {
		assert.InDelta(t, r.want, SectionLoss(r.a, r.b, r.abrupt), 1e-12, "%v to %v, abrupt %v", r.a, r.b, r.abrupt)
	}
}

// Idelchik, Handbook of Hydraulic Resistance, gates in round pipes (values
// from memory): what a gate adds to its loss when open; at half travel the
// table has 2.06, of which half of the open gate's 0.02 counts as there anyway.
func TestGateLoss(t *testing.T) {
	for _, r := range []struct{ travel, want float64 }{{1, 0}, {0.9, 0.06 - 0.018}, {0.5, 2.06 - 0.01}, {0.125, 97.8 - 0.0025}} {
		assert.InDelta(t, r.want, GateLoss(r.travel), 1e-9, "travel %v", r.travel)
	}
	require.Equal(t, GateLoss(0), GateLoss(0.003), "no less than the table's first row")
	for x := 0.03; x < 1; x += 0.01 {
		require.Greater(t, GateLoss(x-0.01), GateLoss(x), "the further shut, the more it loses")
	}
}

// Between its rows the table goes by the logarithm: half-way from 35 to 10 it is
// √350, and not the mean.
func TestGateLossBetweenItsRows(t *testing.T) {
	assert.InDelta(t, math.Sqrt(350)-0.02*0.25, GateLoss(0.25), 1e-6)
	assert.InDelta(t, math.Sqrt(4.6*2.06)-0.02*0.45, GateLoss(0.45), 1e-6)
	assert.Zero(t, GateLoss(1))
}

// The rows where nothing is published lie between thin orifices of the openings
// that a round-edged blade and a straight one leave.
func TestGateLossWhereNothingIsPublished(t *testing.T) {
	segment := func(h float64) float64 { // of the bore, below a straight edge
		a := math.Acos(1 - 2*h)
		return (a - math.Sin(a)*math.Cos(a)) / math.Pi
	}
	lens := func(h float64) float64 { return 1 - 2*segment((1-h)/2) } // outside a like circle, moved by h
	for _, h := range []float64{0.004, 0.02, 0.05} {
		assert.Greater(t, GateLoss(h), BlockageLoss(1-lens(h))*0.9, "%g", h)
		assert.Less(t, GateLoss(h), BlockageLoss(1-segment(h)), "%g", h)
	}
}

// ζ = (0.707 (1−f)^0.375 + 1 − f)²/f² of a thin orifice, by hand: at f = 1/2
// (0.707 · 0.7711 + 0.5)² · 4 = 4.369; at 1/4 (0.707 · 0.8977 + 0.75)² · 16 = 30.7.
func TestBlockageLoss(t *testing.T) {
	assert.InDelta(t, 0, BlockageLoss(0), 0)
	assert.InDelta(t, 4.369, BlockageLoss(0.5), 0.002)
	assert.InDelta(t, 30.7, BlockageLoss(0.75), 0.05)
	assert.Equal(t, BlockageLoss(1), BlockageLoss(0.9995), "some of the bore is always left")
	assert.False(t, math.IsInf(BlockageLoss(1), 0))
}

// A machine's own port that is narrower than its duct costs Borda and Carnot's loss of a
// sudden widening, (1 - a/A)² on the faster air, which is (A/a - 1)² on the duct's; a
// wider one the loss of a sharp narrowing, 0.5 (1 - A/a) (textbook, both).
func TestOpeningLossIsThatOfAStep(t *testing.T) {
	bore := 0.01
	k := func(a float64) float64 {
		return OpeningLoss(&duct.Port{Opening: &duct.Opening{Width: a / 0.1, Height: 0.1}}, bore)
	}
	require.InEpsilon(t, 1, k(bore/2), 1e-9)
	require.InEpsilon(t, 9, k(bore/4), 1e-9)
	require.InEpsilon(t, 0.25, k(2*bore), 1e-9)
	require.Zero(t, OpeningLoss(&duct.Port{}, bore))
}
