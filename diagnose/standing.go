package diagnose

import (
	"context"
	"sync"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/weigh"
	"lostair/diagnose/next"
	"lostair/diagnose/plan"
	"lostair/readings"
)

// Standing is a diagnosis that can be asked what a further reading should show.
type Standing struct {
	*Result
	p  *weigh.Posterior
	mu sync.Mutex // guards the posterior's study
}

// Foretell says for each row, whose value is of no interest, what the likely
// explanations of the readings so far say that it shows. Errors are those of next.Foretell.
func (s *Standing) Foretell(rows []readings.Row) ([][]next.Foretold, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return next.Foretell(s.p, rows)
}

// Mended says of each row what nine in ten systems show there once the cause is mended,
// that the readings so far are of: SI, the reading's own error included. Nil if no likely
// explanation has the cause. Errors are those of Foretell.
func (s *Standing) Mended(rows []readings.Row, cause []fault.Candidate) ([]fault.Interval, error) {
	if s.p == nil {
		return nil, nil
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return next.Mended(s.p, rows, cause)
}

// SoundRanges says what nine in ten sound systems show at each row, by the page and by
// the baselines of the diagnosis: SI. Errors are those of plan.Ranges.
func (s *Standing) SoundRanges(ctx context.Context, rows []readings.Row) ([]fault.Interval, error) {
	if s.p == nil { // it was stopped
		return plan.Ranges(ctx, s.System, s.System.File, rows)
	}
	return next.SoundPlanner(s.p).Ranges(ctx, rows)
}
