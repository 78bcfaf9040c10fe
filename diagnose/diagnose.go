// Package diagnose goes from a system and a survey to a verdict.
package diagnose

import (
	"context"
	"errors"

	"lostair/diagnose/duct"
	"lostair/readings"
)

// Options steer a diagnosis. The zero Options is the usual one.
type Options struct {
	Baselines []*readings.Survey // earlier surveys of the same system when it was known to be sound
	Steps     func(done, of int) // called as the work goes on, for a progress line; may be nil
}

// Diagnose finds what is wrong with sys given a survey.
func Diagnose(ctx context.Context, sys *duct.System, survey *readings.Survey, opt Options) (*Result, error) {
	return nil, errors.New("not written yet")
}
