package diagnose

import (
	"context"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/diagnose/trial"
)

func plantOf(t *testing.T, ports int, seed uint64) *trial.Case {
	c, err := trial.FaultyPlant(seed, ports, 5*ports)
	require.NoError(t, err)
	return c
}

// What leads in a thinned survey has been fitted as far as it goes: else what
// one explanation lacks by chance decides. In this plant they lacked six nats.
func TestLeadersOfAThinnedSurveyAreFittedOut(t *testing.T) {
	c := plantOf(t, 55, 4)
	m, err := airflow.New(c.System, airflow.Options{})
	require.NoError(t, err)
	whole, bad := bind(m, c.Survey)
	require.NoError(t, bad.Err())
	u := newUnknowns(m)
	l := newLayout(u, whole)
	free := prior{mean: make([]float64, l.n), scale: 1}
	b, use := thinned(m, u, l, whole, free, sites(m))
	s := newStudy(m, u, l, b, free)
	require.NotNil(t, use)
	s.reduce(use)
	g, err := s.searchAll(context.Background(), sites(m), nil, nil)
	require.NoError(t, err)
	var gain []float64
	for _, f := range g.all {
		if f.score() < g.best()-5 {
			break
		}
		require.Less(t, f.fit.left, stuckBy)
		again := *f
		gain = append(gain, s.polished(&again))
	}
	require.Greater(t, len(gain), 5)
	// Evidence under one spread lies above that over all, for each alike.
	require.Less(t, slices.Max(gain), 2.0)
	require.Less(t, slices.Max(gain)-slices.Min(gain), 0.5, "none gains more than the others if fitted on")
}

// Plants of sixty ports, of which a linear fit that stopped half way named a
// slow fan, or an instrument that is off.
func TestLargePlantsAreNotMistaken(t *testing.T) {
	for seed, want := range map[uint64]Kind{2: FilterLoaded, 7: Blockage} {
		c := plantOf(t, 60, seed)
		r, err := Diagnose(context.Background(), c.System, c.Survey, Options{})
		require.NoError(t, err)
		require.Equal(t, Faults, r.Verdict, "seed %d", seed)
		found := false
		for _, f := range r.Faults {
			if f.Kind == Undersized || f.Kind == ReadingWrong {
				continue
			}
			all := append([]Candidate{f.Candidate}, f.Alike...)
			real := slices.ContainsFunc(all, func(x Candidate) bool {
				return slices.ContainsFunc(c.Truth.Faults, func(y trial.Fault) bool { return y.Kind == x.Kind.String() && y.Where == x.Where })
			})
			require.True(t, real, "seed %d: %s %s is not there", seed, f.Kind, f.Where)
			found = found || slices.ContainsFunc(all, func(x Candidate) bool { return x.Kind == want })
		}
		require.True(t, found, "seed %d", seed)
	}
}

// A filter or a fan that a fit has bent far off is handed over to a fault of it.
func TestABentFilterIsHandedOver(t *testing.T) {
	_, s := trialStudy(t, 406)
	own := s.u.parts[s.u.filter].ix[0]
	at := point{theta: slices.Clone(s.pr.mean), dual: make([]float64, s.n)}
	at.theta[own], at.dual[own] = 3, 3
	for _, k := range []Kind{FilterLoaded, FanWeak, Leak} {
		p := s.handedOver(at, &variant{kind: k})
		require.Equal(t, k == FilterLoaded, p != nil, k)
		if p != nil {
			require.Zero(t, p.theta[own])
			require.Zero(t, p.dual[own])
			require.InDelta(t, 3, at.theta[own], 0, "the fit itself stays")
		}
	}
	at.theta[own] = 1
	require.Nil(t, s.handedOver(at, &variant{kind: FilterLoaded}), "that is no more than usual")
}

// An instrument that is far off shows so many times what it reads, spread and
// all: the slopes are those of that.
func TestSlopesOfAnInstrumentFarOff(t *testing.T) {
	_, s := trialStudy(t, 406)
	gauge := s.obs[0].gainIx
	for i := range s.obs {
		if s.obs[i].gainIx == gauge {
			s.obs[i].off = gaugeOff
		}
	}
	at := point{theta: slices.Clone(s.pr.mean)}
	at.theta[gauge] = 1.2
	m := len(s.obs)
	h, off, j := make([]float64, m), make([]float64, m), mat.NewDense(m, s.n, nil)
	require.NoError(t, s.predict(point{theta: s.pr.mean}, hypothesis{}, off))
	require.NoError(t, s.predict(at, hypothesis{}, h))
	s.jacobian(at, hypothesis{}, j, nil)
	some := 0
	for i := range s.obs {
		if s.obs[i].gainIx == gauge {
			require.InEpsilon(t, math.Exp(1.2*gaugeOff)*off[i], h[i], 1e-9)
			some++
		}
	}
	require.Positive(t, some)
	const e = 1e-4
	for _, x := range []int{gauge, 0, s.day, int(s.u.parts[s.u.speed].ix[0])} {
		up, down := at.clone(), at.clone()
		up.theta[x] += e
		down.theta[x] -= e
		a, b := make([]float64, m), make([]float64, m)
		require.NoError(t, s.predict(up, hypothesis{}, a))
		require.NoError(t, s.predict(down, hypothesis{}, b))
		for i := range a {
			require.InDelta(t, (a[i]-b[i])/(2*e), j.At(i, x), 1e-4*(1+math.Abs(j.At(i, x))), "reading %d by %d", i, x)
		}
	}
}
