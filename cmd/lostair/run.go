package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"lostair/cmd/internal/command"
	"lostair/cmd/internal/console"
	"lostair/cmd/internal/defect"
	"lostair/readings/problem"
	"lostair/report/layout"
)

// run runs one command and returns the exit status.
func run(ctx context.Context, args []string, s console.Streams) int {
	out := &heard{Writer: s.Out}
	s.Out = out
	root := newRoot(s)
	root.SetArgs(args)
	cmd := root
	err := defect.Caught(func() (err error) {
		cmd, err = root.ExecuteContextC(ctx)
		return err
	})
	if err == nil {
		err = out.err // of help, which is written without looking
	}
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		if early := (command.StoppedError{}); !errors.As(err, &early) {
			err = command.StoppedError{Cause: err, Then: "there is nothing to show yet"}
		}
	}
	code := status(err, root, s)
	if failed(err, code) && wantsJSON(cmd, args) {
		writeErrors(s.Out, err)
	}
	return code
}

// failed says whether a command has given no result.
func failed(err error, code int) bool {
	var early command.StoppedError
	return code == console.NotDone || errors.As(err, &early) && !early.Shown
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
func status(err error, root *cobra.Command, s console.Streams) int {
	var usage command.UsageError
	var list problem.List
	var early command.StoppedError
	switch {
	case err == nil:
		return console.Done
	case errors.Is(err, console.ErrFaults):
		return console.Faulty
	case errors.Is(err, console.ErrUnclear):
		return console.Unclear
	case errors.As(err, &list):
		console.Tell(s, list)
	case errors.As(err, &usage):
		fmt.Fprintf(s.Err, "%s: %s\nUse: %s\nSee: %s --help\n", usage.Cmd.CommandPath(), layout.Clean(err.Error()), usage.Cmd.UseLine(), usage.Cmd.CommandPath())
	case errors.As(err, &early):
		fmt.Fprintf(s.Err, "%s: %s\n", root.Name(), layout.Clean(err.Error()))
		return console.Stopped
	default:
		fmt.Fprintf(s.Err, "%s: %s\n", root.Name(), layout.Clean(err.Error()))
		if stack := defect.StackOf(err); stack != "" {
			fmt.Fprintf(s.Err, "Please tell who maintains it, with your files and these lines:\n\n%s", stack)
		}
	}
	return console.NotDone
}
