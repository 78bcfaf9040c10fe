package console

import (
	"context"
	"fmt"
	"io"
	"time"

	"lostair/readings/dates"
	"lostair/readings/problem"
	"lostair/report/layout"
)

// Streams is what the program has of the world apart from files.
type Streams struct {
	In       io.Reader
	Out, Err io.Writer
	Env      func(string) string
	OutWidth int // cells, if Out is a terminal; else 0
	ErrWidth int // the same of Err

	Dates *dates.Order // how dates like 3/7/2026 are read; nil: as all rows of a file can be

	Now func() time.Time // nil: the computer's clock

	Hurry func(context.Context) func() // sees to it that work stops with its context; may be nil
}

// Clock is the world's clock.
func (s Streams) Clock() func() time.Time {
	if s.Now == nil {
		return time.Now
	}
	return s.Now
}

// Say writes a text into which the user's own words are put, without what would
// control a terminal.
func Say(w io.Writer, format string, words ...any) (int, error) {
	for i, x := range words {
		if t, ok := x.(string); ok {
			words[i] = layout.Clean(t)
		}
	}
	return fmt.Fprintf(w, format, words...)
}

// Tell prints problems, one a line; what is the same in many lines of a file once.
func Tell(s Streams, list problem.List) {
	for _, p := range list.Once() {
		fmt.Fprintln(s.Err, layout.Clean(p.String()))
	}
}
