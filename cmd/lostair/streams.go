package main

import (
	"context"
	"fmt"
	"io"
	"time"

	"lostair/readings"
	"lostair/readings/problem"
	"lostair/report/layout"
)

// streams is what the program has of the world apart from files.
type streams struct {
	in       io.Reader
	out, err io.Writer
	env      func(string) string
	outWidth int // cells, if out is a terminal; else 0
	errWidth int // the same of err

	dates *readings.DateOrder // how dates like 3/7/2026 are read; nil: as all rows of a file can be

	now func() time.Time // nil: the computer's clock

	hurry func(context.Context) func() // sees to it that work stops with its context; may be nil
}

// clock is the world's clock.
func (s streams) clock() func() time.Time {
	if s.now == nil {
		return time.Now
	}
	return s.now
}

// say writes a text into which the user's own words are put, without what would
// control a terminal.
func say(w io.Writer, format string, words ...any) (int, error) {
	for i, x := range words {
		if t, ok := x.(string); ok {
			words[i] = layout.Clean(t)
		}
	}
	return fmt.Fprintf(w, format, words...)
}

// tell prints problems, one a line; what is the same in many lines of a file once.
func tell(s streams, list problem.List) {
	for _, p := range list.Once() {
		fmt.Fprintln(s.err, layout.Clean(p.String()))
	}
}
