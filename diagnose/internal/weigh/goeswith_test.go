package weigh

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/search"
)

// What mostly comes with another does not stand for it.
func TestWhatComesBesideDoesNotStandForIt(t *testing.T) {
	sites := []*fault.Site{{Kind: fault.Altered, Where: "a"}, {Kind: fault.Altered, Where: "b"}}
	set := func(sites ...int) *fit.Fit {
		f := &fit.Fit{}
		for _, s := range sites {
			f.Faults = append(f.Faults, &fault.Variant{Site: s, Kind: fault.Altered})
		}
		return f
	}
	p := &Posterior{G: &search.Search{Sites: sites}, Sets: []*fit.Fit{set(0, 1), set(0), set(1), set()}}
	a, b := named("altered a"), named("altered b")
	p.Weight = []float64{0.6, 0.2, 0.1, 0.1}
	require.True(t, p.goesWith(a, b))
	p.Weight = []float64{0.05, 0.5, 0.4, 0.05}
	require.False(t, p.goesWith(a, b))
}
