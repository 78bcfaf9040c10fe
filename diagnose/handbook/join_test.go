package handbook

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// The two laws of joins, and what they have in common, at a square tee and at a wye of 45°,
// by hand from their formulas; between 60° and 90° the tee's own term comes in evenly.
func TestLawsOfJoinsByHand(t *testing.T) {
	near := func(want, got converging) {
		t.Helper()
		require.InDelta(t, want.alpha, got.alpha, 1e-9)
		require.InDelta(t, want.beta, got.beta, 1e-9)
		require.InDelta(t, want.delta, got.delta, 1e-9)
		require.InDelta(t, want.epsilon, got.epsilon, 1e-9)
	}
	// Gardel: of equal areas β = 1.2, ε = −1 + 1.62; of half the area 0.8·3 + cos − 1.2(2 cos − 1)
	near(converging{0.92, 1.2, 0.03, 0.62}, gardel(math.Pi/2, 1))
	c := math.Sqrt(0.5)
	near(converging{0.92, 2.4 + c - 1.2*(2*c-1), 0.03, 0.19 - 1 - 1.62*(2*c-1)}, gardel(math.Pi/4, 0.5))
	// Idelchik: with the factor in full from an area ratio of 0.45 on, not at all to 0.25
	near(converging{0.9, 0.55 * 2, 0, 1 - 0.45}, idelchikLaw(math.Pi/2, 1))
	near(converging{1, 1 + 16 - 8*c, 0, 1 - 8*c}, idelchikLaw(math.Pi/4, 0.25))
	near(converging{0.95, 0.775 * (1 + 1/(0.35*0.35) - 2*c/0.35), 0, 1 - 2*c/0.35}, idelchikLaw(math.Pi/4, 0.35))
	for degrees, want := range map[float64]float64{45: 0, 60: 0, 75: 0.5, 90: 1, 120: 1} {
		require.InDelta(t, want, square(degrees*math.Pi/180), 1e-9)
	}
	require.InDelta(t, 2-0.25, crossed(math.Pi/4, 0.5), 1e-9)
	require.InDelta(t, 2-0.5-0.225, crossed(math.Pi/2, 1), 1e-9)
}

// What a growing main adds: Idelchik's table 7-2 at its own angles and area ratios (quoted),
// and evenly between them.
func TestGrowingMainsByTheTable(t *testing.T) {
	at := func(table [][]float64, degrees, ratio float64) float64 {
		return growth(table, degrees*math.Pi/180, ratio)
	}
	for _, x := range []struct{ degrees, ratio, straight, branch float64 }{
		{15, 0.1, 0, 0}, {15, 0.33, 0.14, 0}, {15, 0.5, 0.40, 0}, {30, 0.33, 0.17, 0}, {30, 0.5, 0.35, 0}, {45, 0.1, 0.05, 0},
		{45, 0.2, 0.14, 0}, {45, 0.33, 0.14, 0}, {45, 0.5, 0.30, 0}, {60, 0.33, 0.10, 0}, {60, 0.5, 0.25, 0.10}, {90, 0.1, 0, 0},
		{90, 0.2, 0, 0.1}, {90, 0.33, 0, 0.2}, {90, 0.5, 0, 0.25},
		{22.5, 0.5, 0.375, 0}, {75, 0.5, 0.125, 0.175}, {45, 0.15, 0.095, 0}, {45, 0.8, 0.30, 0}, {5, 0.5, 0.40, 0}, {90, 0.265, 0, 0.15}, {45, 0.05, 0.05, 0},
	} {
		require.InDelta(t, x.straight, at(growthStraight, x.degrees, x.ratio), 1e-9, "%v", x)
		require.InDelta(t, x.branch, at(growthBranch, x.degrees, x.ratio), 1e-9, "%v", x)
	}
}

// A join of one branch and a straight leg loses midway between the two laws: of total
// pressure, on the main's velocity pressure, by the share that the branch brings.
func TestAJoinLosesMidwayBetweenTheLaws(t *testing.T) {
	for _, degrees := range []float64{30, 45, 60, 75, 90} {
		for _, ratio := range []float64{0.3, 0.5, 1} {
			a := degrees * math.Pi / 180
			j := NewJoint([]float64{0, a}, []float64{1, ratio}, 1)
			g, d := gardel(a, ratio), idelchikLaw(a, ratio)
			for q := 0.0; q <= 1; q += 0.125 {
				r := 1 - q
				// static falls by what leaves less what is brought; velocity pressures are r², (q/ratio)², 1
				vp := []float64{r * r, q * q / (ratio * ratio)}
				static := j.Takes - j.Legs[0].Brings*vp[0] - j.Legs[1].Brings*vp[1]
				straight := static + vp[0] - 1 + j.Legs[0].Loses*vp[0]
				branch := static + vp[1] - 1 + j.Legs[1].Loses*vp[1]
				law := func(alpha, beta float64) float64 { return -alpha*r*r + beta*q*q + crossed(a, ratio)*q*r }
				wantStraight := r*r*(g.delta+d.delta)/2 + q*q*(g.epsilon+d.epsilon)/2 + crossed(a, ratio)*q*r
				wantBranch := law((g.alpha+d.alpha)/2, (g.beta+d.beta)/2)
				require.InDelta(t, wantStraight, straight, 1e-9, "%v° %v q %v", degrees, ratio, q)
				require.InDelta(t, wantBranch, branch, 1e-9, "%v° %v q %v", degrees, ratio, q)
			}
			// half of what the laws differ by stands beside
			require.InDelta(t, ratio*ratio*((g.beta-g.epsilon)-(d.beta-d.epsilon))/2, j.Legs[1].LossApart, 1e-9)
			require.InDelta(t, (g.alpha+g.delta-d.alpha-d.delta)/2, j.Legs[0].LossApart, 1e-9)
			require.LessOrEqual(t, math.Abs(j.Legs[1].BringApart), mostApart)
		}
	}
	// without a straight leg it is the bare balance of momentum
	y := NewJoint([]float64{0.5, 0.5}, []float64{1, 1}, 2)
	require.Equal(t, 2.0, y.Takes)
	require.InDelta(t, math.Cos(0.5), y.Legs[0].Brings, 1e-12)
	require.Zero(t, y.Legs[0].Loses)
	// where the main grows by the branch's area, half of the table is added to the straight leg
	a := math.Pi / 4
	grown := NewJoint([]float64{0, a}, []float64{0.67, 0.33}, 1)
	require.InDelta(t, 2+0.5*0.14, grown.Takes, 1e-9)
	require.InDelta(t, -0.5*0.14, grown.Legs[0].LossApart, 1e-9)
	require.InDelta(t, 0.5*0.14, grown.Legs[1].LossApart, 1e-9)
	require.InDelta(t, 2*0.67, grown.Legs[0].Brings, 1e-9)
	require.InDelta(t, 2*0.33*math.Cos(a), grown.Legs[1].Brings, 1e-9)
}
