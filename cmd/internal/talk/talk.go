// Package talk is a guided round as a conversation in lines: it asks, takes what is
// typed, checks it on the spot, and keeps each answer on the disk before it asks on.
// It works with a terminal and with a script alike.
package talk

import (
	"context"
	"io"

	"lostair/diagnose/duct"
	"lostair/diagnose/round"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report/show"
)

// Talk is a conversation. Its files say where the round stands.
type Talk struct {
	System    *duct.System
	Readings  File // the round's
	Baselines []*readings.Survey
	Complaint string // "": asked for, if the file does not say
	Date      string // of what is written, ISO; "": no date
	Units     units.System

	In    io.Reader
	Out   io.Writer
	Style show.Style
	Echo  bool // repeat what is typed, where no terminal does

	// Within does the work of a step, and may end it with its context; nil: a step takes as
	// long as it takes.
	Within func(ctx context.Context, work func(ctx context.Context) error) error

	Held func(release func()) // told how to let go of the file, for a process that ends early; may be nil

	in        *typing
	complaint round.Complaint
	planned   []readings.Row // once worked out
	more      bool           // go on though it is enough
	note      string
	typed     string // typed to an earlier question, and not dealt with
	asked     int
	want      *readings.Row // to be asked for next, whatever else would tell more; nil: nothing
}

// within is the outcome of a step's work, which may be ended.
func within[T any](t *Talk, ctx context.Context, work func(ctx context.Context) (T, error)) (T, error) {
	if t.Within == nil {
		return work(ctx)
	}
	done := make(chan T, 1)
	err := t.Within(ctx, func(ctx context.Context) error {
		out, err := work(ctx)
		done <- out
		return err
	})
	if err != nil {
		var none T
		return none, err
	}
	return <-done, nil
}
