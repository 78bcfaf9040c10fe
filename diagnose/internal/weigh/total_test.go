package weigh

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/search"
)

// What all sets of a world weigh is the logarithm of the sum of what each does, and of
// the unlisted with its prior of one in fifty; worlds are compared by it.
func TestAllThatAWorldWeighs(t *testing.T) {
	g := &search.Search{Seen: map[string]bool{}, All: []*fit.Fit{{Status: fit.Settled, Evidence: -3}, {Status: fit.Settled, Evidence: -4}}}
	p := PosteriorOf(g, -2)
	require.InEpsilon(t, math.Log(math.Exp(-3)+math.Exp(-4)+math.Exp(-2)/50), p.total, 1e-9)
}
