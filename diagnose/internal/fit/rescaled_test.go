package fit_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
)

// A fit that stops short promises no more than its point is worth.
func TestAFitThatStopsShortPromisesLess(t *testing.T) {
	_, s := kit.TrialStudy(t, 411)
	sound := s.Fit(fit.Hypothesis{}, fit.Point{Theta: s.Pr.Mean})
	x := rescaledOf(s, sound)
	require.InDelta(t, sound.Evidence, x, 1e-9)
	d := *sound.Fit
	d.Left = 1.5
	short := *sound
	short.Fit = &d
	require.InDelta(t, sound.Evidence-1.5, rescaledOf(s, &short), 1e-9)
}

func rescaledOf(s *fit.Study, f *fit.Fit) float64 {
	v, _ := s.Rescaled(f, s.PriorScale, s.NoiseScale)
	return v
}
