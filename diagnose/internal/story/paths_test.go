package story

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// By hand: probabilities of 0.04, 0.5, 0.4 and 0.06 by survey.
func TestMomentsByHand(t *testing.T) {
	require.Equal(t, Moment{Survey: 1, Low: 1, High: 3}, momentOf([]float64{0.04, 0.5, 0.4, 0.06}))
	require.Equal(t, Moment{Survey: 2, Low: 0, High: 2}, momentOf([]float64{0.06, 0.3, 0.64, 0}))
	require.Equal(t, 3, quantile([]float64{0.1, 0.2, 0.2, 0.2}, 0.95), "rounding leaves a little")
	require.InDelta(t, 1/(1/4.0+0.25), bell{1, 4}.drifted(0.5).prec, 1e-12)
	require.Equal(t, 1.0, bell{1, 4}.drifted(0.5).mean)
}

// One fault in two surveys, every way by hand: it begins in the first or the second, may
// be mended between them, and its severity moves by one of two steps.
func TestPathsByHand(t *testing.T) {
	usual := bell{0, 1}
	looks := []seen{{known: true, gain: 1}, {known: true, gain: 2}} // which say nothing of the severity
	const share = 0.5
	all := paths(looks, usual, 0, share)
	got := map[[2]int]float64{}
	for _, p := range all {
		got[[2]int{p.from, p.to}] = p.log
	}
	b := Breaks * share
	require.Len(t, got, 3)
	require.InDelta(t, math.Log(b)+1+math.Log(Mends), got[[2]int{0, 1}], 1e-9)
	// it stays, or leaps before the second survey
	require.InDelta(t, math.Log(b)+3+math.Log(1-Mends)+math.Log(1+Partly), got[[2]int{0, 2}], 1e-9)
	require.InDelta(t, math.Log(b)+math.Log(1-b)+2, got[[2]int{1, 2}], 1e-9)
	require.InDelta(t, math.Log(math.Exp(got[[2]int{0, 1}])+math.Exp(got[[2]int{0, 2}])+math.Exp(got[[2]int{1, 2}])), total(all), 1e-9)
	require.Equal(t, 0, likeliest(all).from)
	require.True(t, math.IsInf(total(nil), -1))
	// in a survey that is no help a fault is only likelier to have gone
	blind := paths([]seen{{known: true, gain: 1}, {}}, usual, 0, share)
	for _, p := range blind {
		if p.from == 0 && p.to == 2 {
			require.InDelta(t, math.Log(b)+1+math.Log(1-Mends)+math.Log(1+Partly), p.log, 1e-9)
		}
	}
	require.Len(t, paths(looks, usual, 1, share), 1, "none can have begun before the first that is no reference")
}
