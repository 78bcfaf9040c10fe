package search_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/search"
	"lostair/readings/units"
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

// A pressure ten times too large may be millimetres of water for pascals as
// well, two in a hundred off: both are tried, and it is said that both may be.
func TestTenTimesMayBeThePointOrTheUnit(t *testing.T) {
	s, _ := kit.FitOf(t)
	var i int
	for k := range s.Observation {
		if s.B.Survey.Rows[s.Observation[k].Rows[0]].Quantity.Dimension() == units.Pressure && s.B.Survey.Rows[s.Observation[k].Rows[0]].Unit == "Pa" {
			i = k
		}
	}
	point, unit := 0, 0
	for _, w := range search.Slips(s, i) {
		f := w.Y / s.Observation[i].Y
		if math.Abs(f/10-1) > 0.03 && math.Abs(f/0.1-1) > 0.03 {
			require.False(t, w.Reason.OrPoint || w.Reason.Kind == fault.SlipPoint, "%.4g times", f)
			continue
		}
		require.True(t, w.Reason.OrPoint || w.Reason.Kind == fault.SlipPoint, "%.4g times", f)
		if w.Reason.Really == "mmH2O" {
			unit++
		} else {
			point++
		}
	}
	require.Equal(t, 2, point)
	require.Equal(t, 2, unit)
}
