package fit_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
)

// A fit of one fault comes to the same evidence from wherever it starts: it
// goes on until a step would gain nothing, and not until steps are small. A
// small step of a parameter may be a large one of what is read.
func TestAFitComesToTheSameFromAnywhere(t *testing.T) {
	n := 0
	for seed := range uint64(12) {
		_, s := kit.TrialStudy(t, 400+seed)
		sound := s.Fit(fit.Hypothesis{}, fit.Point{Theta: s.Pr.Mean})
		require.True(t, sound.Ok())
		for _, x := range fault.Sites(s.M)[:20] {
			v, sp := x.Variants[0], fault.Severities[x.Kind]
			h := fit.Hypothesis{Faults: []*fault.Variant{v}}
			var at []*fit.Fit
			for _, z := range []float64{sp.Mean - sp.Sd, sp.Mean, sp.Mean + sp.Sd} {
				if f := s.FitFrom(h, fit.Point{Theta: sound.At.Theta, Z: []float64{z}, Dual: sound.At.Dual}, fit.PatienceFar); f.Ok() && f.Settled() {
					at = append(at, f)
				}
			}
			for _, f := range at {
				if math.Abs(f.At.Z[0]-at[0].At.Z[0]) > 0.1 {
					continue // another top
				}
				require.InDelta(t, at[0].Evidence, f.Evidence, 0.2, "%v at %s, seed %d", x.Kind, x.Where, seed)
				n++
			}
		}
	}
	require.Greater(t, n, 400)
}
