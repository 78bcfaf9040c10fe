package fit_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
)

// The slopes of every observation by every parameter and severity are those
// that differences give, at a point away from the prior mean and for readings
// that lie far from what they should be.
func TestReviewSlopes(t *testing.T) {
	s := kit.ReviewStudy(t, kit.ReviewShop, kit.ReviewSound+`a,A,velocity_pressure,12,Pa,pitot
a,A,centre_velocity,5,m/s,vane
a,A,flow,500,m3/h,vane
a,pa,suction,30,Pa,gauge
none,bin,static_pressure,24,Pa,gauge
`)
	// What a mistake lets loose: an instrument that reads by a factor, a manometer's zero,
	// the air's density.
	letLoose(s, 0.5, 0.3, 4)
	at := fit.Point{Theta: make([]float64, s.N)}
	for i := range at.Theta {
		at.Theta[i] = 0.7 * math.Sin(1+1.7*float64(i))
	}
	slopesHold(t, s, "sound", fit.Hypothesis{}, at)
	for _, st := range fault.Sites(s.M) {
		for k, v := range st.Variants {
			p := at.Clone()
			p.Z = []float64{fault.Severities[v.Kind].Mean + 0.3}
			slopesHold(t, s, fmt.Sprintf("%s %s %d", st.Kind, st.Where, k), fit.Hypothesis{Faults: []*fault.Variant{v}}, p)
		}
	}
}

// letLoose lets a reading in four err by the air's density, one by its instrument's factor
// and one by the manometer's zero.
func letLoose(s *fit.Study, air, off, zero float64) {
	for i := range s.Observation {
		o := &s.Observation[i]
		switch i % 4 {
		case 0:
			o.Air = air
		case 1:
			o.Off = off
		case 2:
			o.Zero = zero
		}
	}
}

func slopesHold(t *testing.T, s *fit.Study, name string, h fit.Hypothesis, p fit.Point) {
	n := len(s.Observation)
	now, up, down := make([]float64, n), make([]float64, n), make([]float64, n)
	require.NoError(t, s.Predict(p, h, now))
	j, jz := mat.NewDense(n, s.N, nil), mat.NewDense(n, max(len(h.Faults), 1), nil)
	s.Jacobian(p, h, j, jz)
	const e = 1e-4
	for x := range s.N + len(h.Faults) {
		for _, side := range []struct {
			by  float64
			out []float64
		}{{e, up}, {-e, down}} {
			q := p.Clone()
			if x < s.N {
				q.Theta[x] += side.by
			} else {
				q.Z[x-s.N] += side.by
			}
			require.NoError(t, s.Predict(q, h, side.out))
		}
		for i := range n {
			got := 0.0
			if x < s.N {
				got = j.At(i, x)
			} else {
				got = jz.At(i, x-s.N)
			}
			want := (up[i] - down[i]) / (2 * e)
			most := 0.001*math.Abs(want) + 1e-5*math.Abs(now[i]) + 1e-5
			if s.Observation[i].TapIx >= 0 {
				// A tap's error goes with the velocity pressure, whose slope is left out: TapError of it.
				most = 0.006*math.Abs(now[i]) + 0.01*math.Abs(want) + 1e-3
			}
			require.InDelta(t, want, got, most, "%s: observation %d by parameter %d", name, i, x)
		}
	}
	slopesAreTakenOver(t, s, name, h, p)
}

// Slopes by severities are those of the point where rows are taken over, too.
func slopesAreTakenOver(t *testing.T, s *fit.Study, name string, h fit.Hypothesis, p fit.Point) {
	if len(h.Faults) == 0 {
		return
	}
	s.Ref = nil
	first := s.Linearised(h, p)
	again := s.Linearised(h, p)
	require.NotNil(t, s.Ref, name)
	for i := range s.Observation {
		require.InDelta(t, first.Fit.Jz.At(i, 0), again.Fit.Jz.At(i, 0), 1e-9*(1+math.Abs(first.Fit.Jz.At(i, 0))), "%s: observation %d", name, i)
	}
}
