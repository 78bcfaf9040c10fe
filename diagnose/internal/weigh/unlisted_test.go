package weigh_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/screen"
	"lostair/diagnose/internal/search"
	"lostair/diagnose/internal/weigh"
)

// Something that is no kind on the list has a prior of one in fifty: by hand, with
// one set of faults that scores as well, its probability is 0.02 of 1.02.
func TestUnlistedByHand(t *testing.T) {
	for _, x := range []struct{ other, want float64 }{
		{-10, 0.02 / 1.02}, {-10 + math.Log(50), 0.5}, {-40, 0.02 * math.Exp(-30)},
	} {
		g := &search.Search{Sites: []*fault.Site{}, All: []*fit.Fit{{Status: fit.Settled, Evidence: -10}}, Seen: map[string]bool{}}
		p := weigh.PosteriorOf(g, x.other)
		require.InEpsilon(t, x.want, p.Unlisted, 1e-9)
		require.InEpsilon(t, 1-x.want, p.Weight[0], 1e-9)
	}
}

// What was screened only weighs e less than it seems, and never more than e³ less
// than the best: it has not been fitted.
func TestWhatWasScreenedWeighsLess(t *testing.T) {
	for score, want := range map[float64]float64{-10: math.Exp(-3), -14: math.Exp(-5)} {
		g := &search.Search{Sites: []*fault.Site{{Kind: fault.Leak, Where: "main"}}, All: []*fit.Fit{{Status: fit.Settled, Evidence: -10}}, Seen: map[string]bool{}}
		g.Rest = []screen.Idea{{Hypothesis: fit.Hypothesis{Faults: []*fault.Variant{{Kind: fault.Leak}}}, Key: "a", Score: score}}
		p := weigh.PosteriorOf(g, math.Inf(-1))
		require.InEpsilon(t, want, p.Rest[0]/p.Weight[0], 1e-9)
		require.InEpsilon(t, p.Rest[0], p.Site[0], 1e-9)
	}
}

// The best that what was screened is held against may be what is on no list.
func TestWhatWasScreenedWeighsLessThanTheUnlisted(t *testing.T) {
	g := &search.Search{Sites: []*fault.Site{{Kind: fault.Leak, Where: "main"}}, All: []*fit.Fit{{Status: fit.Settled, Evidence: -40}}, Seen: map[string]bool{},
		Rest: []screen.Idea{{Hypothesis: fit.Hypothesis{Faults: []*fault.Variant{{Kind: fault.Leak}}}, Key: "a", Score: -10}}}
	p := weigh.PosteriorOf(g, -10)
	require.InEpsilon(t, math.Exp(-3), p.Rest[0]/p.Unlisted, 1e-9)
}

// An idea that was fitted since, or that is its own guess, weighs nothing beside.
func TestWhatWasFittedIsNotScreenedToo(t *testing.T) {
	leak := []*fault.Variant{{Kind: fault.Leak}}
	g := &search.Search{Sites: []*fault.Site{{Kind: fault.Leak, Where: "main"}}, S: &fit.Study{Observation: make([]observe.Observation, 1)},
		All: []*fit.Fit{{Status: fit.Settled, Evidence: -10}}, Seen: map[string]bool{"fitted": true},
		Rest: []screen.Idea{
			{Hypothesis: fit.Hypothesis{Faults: leak}, Key: "fitted", Score: -10},
			{Hypothesis: fit.Hypothesis{Faults: leak, Rows: []*fit.Wrong{{}}}, Key: "guessed", Score: -10},
			{Hypothesis: fit.Hypothesis{Faults: leak}, Key: "screened", Score: -10},
		}}
	p := weigh.PosteriorOf(g, math.Inf(-1))
	require.Zero(t, p.Rest[0])
	require.Zero(t, p.Rest[1])
	require.InEpsilon(t, math.Exp(-3)/(1+math.Exp(-3)), p.Rest[2], 1e-9)
}
