package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"github.com/spf13/cobra"

	"lostair/readings"
	"lostair/readings/problem"
	"lostair/report/layout"
)

// Exit statuses.
const (
	done    = 0
	faulty  = 1 // a fault is asserted, with --fail-on-fault
	notDone = 2 // bad input or usage, or it could not be done
	unclear = 3 // something is probably wrong and no fault is asserted, with --fail-on-fault
	stopped = 4 // it was stopped before its end, by --timeout or a signal; what is known so far is given
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

// errFaults says that a fault is asserted and the user wants that as a status.
var errFaults = errors.New("a fault is asserted")

// errUnclear says that something is probably wrong, that no fault is asserted,
// and that the user wants that as a status.
var errUnclear = errors.New("something is probably wrong, and the readings don't say what")

// usageError is a wrong way to call a command.
type usageError struct {
	cmd *cobra.Command
	err error
}

func (e usageError) Error() string { return e.err.Error() }

// run runs one command and returns the exit status.
func run(ctx context.Context, args []string, s streams) int {
	out := &heard{Writer: s.out}
	s.out = out
	root := newRoot(s)
	root.SetArgs(args)
	cmd, err := root.ExecuteContextC(ctx)
	if err == nil {
		err = out.err // of help, which is written without looking
	}
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		if early := (stoppedError{}); !errors.As(err, &early) {
			err = stoppedError{cause: err, then: "there is nothing to show yet"}
		}
	}
	code := status(err, root, s)
	if failed(err, code) && wantsJSON(cmd, args) {
		writeErrors(s.out, err)
	}
	return code
}

// failed says whether a command has given no result.
func failed(err error, code int) bool {
	var early stoppedError
	return code == notDone || errors.As(err, &early) && !early.shown
}

// heard remembers that writing failed.
type heard struct {
	io.Writer
	err error
}

func (h *heard) Write(p []byte) (int, error) {
	n, err := h.Writer.Write(p)
	h.err = cmp.Or(h.err, err)
	return n, err
}

// status tells the user of an error and turns it into an exit status.
func status(err error, root *cobra.Command, s streams) int {
	var usage usageError
	var list problem.List
	var early stoppedError
	switch {
	case err == nil:
		return done
	case errors.Is(err, errFaults):
		return faulty
	case errors.Is(err, errUnclear):
		return unclear
	case errors.As(err, &list):
		tell(s, list)
	case errors.As(err, &usage):
		fmt.Fprintf(s.err, "%s: %s\nUse: %s\nSee: %s --help\n", usage.cmd.CommandPath(), layout.Clean(err.Error()), usage.cmd.UseLine(), usage.cmd.CommandPath())
	case errors.As(err, &early):
		fmt.Fprintf(s.err, "%s: %s\n", root.Name(), layout.Clean(err.Error()))
		return stopped
	default:
		fmt.Fprintf(s.err, "%s: %s\n", root.Name(), layout.Clean(err.Error()))
	}
	return notDone
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
