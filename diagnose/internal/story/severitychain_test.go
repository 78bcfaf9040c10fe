package story

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"lostair/diagnose/fault"
)

// The Bayes factor under another prior is the integral that it stands for.
func TestAnotherPriorIsAnIntegral(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		usual := bell{rapid.Float64Range(-3, 1).Draw(t, "usual"), rapid.Float64Range(0.5, 6).Draw(t, "its precision")}
		like := bell{rapid.Float64Range(-4, 2).Draw(t, "likelihood"), rapid.Float64Range(0.5, 60).Draw(t, "its precision")}
		prior := bell{rapid.Float64Range(-4, 2).Draw(t, "prior"), rapid.Float64Range(0.5, 60).Draw(t, "its precision")}
		over := func(p bell) float64 {
			d := distuv.Normal{Mu: p.mean, Sigma: 1 / math.Sqrt(p.prec)}
			return quad.Fixed(func(z float64) float64 {
				return d.Prob(z) * math.Exp(-0.5*like.prec*(z-like.mean)*(z-like.mean))
			}, p.mean-9*d.Sigma, p.mean+9*d.Sigma, 400, nil, 0)
		}
		post := bell{(usual.mean*usual.prec + like.mean*like.prec) / (usual.prec + like.prec), usual.prec + like.prec}
		s := seenBy(2, post.mean, 1/math.Sqrt(post.prec), usual)
		gain, after := s.under(usual, prior)
		a, b := over(prior), over(usual)
		if a < 1e-12 || b < 1e-12 {
			t.Skip("too far out to integrate")
		}
		require.InDelta(t, 2+math.Log(a/b), gain, 1e-6)
		require.InDelta(t, prior.prec+like.prec, after.prec, 1e-6*after.prec)
	})
}

// shows is a survey that shows a severity about z with a Bayes factor of gain.
func shows(gain, z float64) seen { return seenBy(gain, z, 0.15, usualOf(fault.Leak)) }

// sound is a survey that shows nothing there.
func sound() seen { return seen{known: true, gain: -4} }

func TestWhenAFaultCameAndWent(t *testing.T) {
	usual := usualOf(fault.Leak)
	at := usual.mean
	for name, c := range map[string]struct {
		looks    []seen
		from, to int
	}{
		"still there":       {[]seen{{}, sound(), sound(), shows(6, at), shows(6, at), shows(6, at)}, 3, 6},
		"mended":            {[]seen{{}, sound(), shows(6, at), shows(6, at), sound(), sound()}, 2, 4},
		"a survey is blind": {[]seen{{}, sound(), shows(6, at), {}, shows(6, at), sound()}, 2, 5},
		"half mended":       {[]seen{{}, sound(), shows(8, at), shows(8, at), shows(2, at-1.1), shows(2, at-1.1)}, 2, 6},
	} {
		t.Run(name, func(t *testing.T) {
			all := paths(c.looks, usual, 1, 0.1)
			from, to := momentsOf(all, len(c.looks))
			require.Equal(t, c.from, from.Survey)
			require.Equal(t, c.to, to.Survey)
			require.LessOrEqual(t, from.Low, from.Survey)
			require.GreaterOrEqual(t, to.High, to.Survey)
			require.Positive(t, total(all))
		})
	}
}

// Surveys that show nothing make no episode likely, however many.
func TestSoundSurveysMakeNoEpisode(t *testing.T) {
	looks := make([]seen, 60)
	for i := range looks {
		looks[i] = seen{known: true, gain: -1}
	}
	require.Less(t, total(paths(looks, usualOf(fault.Leak), 1, 1)), -2.0, "odds of less than one in seven")
}
