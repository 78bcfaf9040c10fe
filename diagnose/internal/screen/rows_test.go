package screen_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/screen"
	"lostair/diagnose/internal/search"
)

// What promises too little is left out, and nothing else changes.
func TestForgottenRows(t *testing.T) {
	_, s := kit.TrialStudy(t, 403)
	f := s.Fit(fit.Hypothesis{}, fit.Point{Theta: s.Pr.Mean})
	rows := search.WrongRows(s)
	all := screen.Rows(s, f, rows, math.Inf(-1))
	least := f.Evidence - 20
	some := screen.Rows(s, f, rows, least)
	require.Less(t, len(some), len(all))
	k := 0
	for _, x := range all {
		if x.Score >= least {
			require.Equal(t, x.Score, some[k].Score)
			require.Equal(t, x.Rows, some[k].Rows)
			k++
		}
	}
	require.Len(t, some, k)
}
