package airflow

import (
	"errors"
	"fmt"
	"math"
)

// ErrNotConverged is wrapped by the error of a solve that did not reach the
// tolerance; the state then holds the last iterate.
var ErrNotConverged = errors.New("flow did not converge")

func (s *State) notConverged(norm float64) error {
	return fmt.Errorf("%w: relative residual %.2g after %d iterations, worst at %s", ErrNotConverged, norm, s.Iterations, s.named(s.residuals()))
}

// noSolution says where a continuation ended.
func (s *State) noSolution(at float64, err error) error {
	return fmt.Errorf("no steady flow found beyond %.0f %% of the exchange of velocity pressure at joins: %w", 100*at, err)
}

// residuals records every residual at the present iterate and returns the
// segment with the largest, in shares of the fan's pressure and the collector's flow.
func (s *State) residuals() int {
	rec := make([]back, len(s.m.link))
	s.up(rec)
	worst, at := -1.0, 0
	for x, b := range rec {
		r := max(math.Abs(b.rf)/s.m.fan.First.Pressure, math.Abs(b.rm)/(math.Abs(s.Q[0])+1e-12))
		if r > worst || math.IsNaN(r) {
			worst, at = r, x
		}
	}
	return at
}

// named is a segment in the user's words.
func (s *State) named(x int) string {
	if d := s.m.seg[x].duct; d >= 0 {
		return fmt.Sprintf("duct %q", s.m.Sys.Ducts[d].ID)
	}
	return "the collector"
}
