package command

import (
	"context"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"lostair/cmd/internal/console"
	"lostair/cmd/internal/defect"
)

// TimeoutFlag lets a command that computes end after a time.
func TimeoutFlag(s console.Streams, cmd *cobra.Command) {
	var limit time.Duration
	cmd.Flags().DurationVar(&limit, "timeout", 0, "stop after this time, like 30s or 2m, with what is known so far (exit status 4)")
	work := cmd.RunE
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if !cmd.Flags().Changed("timeout") {
			return work(cmd, args)
		}
		if err := TimeoutInRange(cmd, limit); err != nil {
			return err
		}
		ctx, stop := context.WithTimeout(cmd.Context(), limit)
		defer stop()
		if s.Hurry != nil {
			defer s.Hurry(ctx)()
		}
		cmd.SetContext(ctx)
		return work(cmd, args)
	}
}

// TimeoutInRange refuses a time that is given and leaves none to work in.
func TimeoutInRange(cmd *cobra.Command, limit time.Duration) error {
	if cmd.Flags().Changed("timeout") && limit <= 0 {
		return Misuse(cmd, fmt.Errorf("--timeout %s is out of range; give a time above zero, like 30s or 2m", limit))
	}
	return nil
}

// grace is how much longer than its context work may take to say what it knows.
const grace = console.Patience / 2

// InTime waits for work, and once ctx has ended for no longer than a grace: work
// that goes on then is left behind, since the process ends.
func InTime[T any](ctx context.Context, work func() (T, error)) (T, error) {
	type answer struct {
		value T
		err   error
	}
	done := make(chan answer, 1)
	go func() {
		var a answer
		a.err = defect.Caught(func() (err error) {
			a.value, err = work()
			return err
		})
		done <- a
	}()
	select {
	case a := <-done:
		return a.value, a.err
	case <-ctx.Done():
	}
	select {
	case a := <-done:
		return a.value, a.err
	case <-time.After(grace):
		var none T
		return none, ctx.Err()
	}
}

// StoppedError says that the work was stopped before its end, and what became of
// what is known so far.
type StoppedError struct {
	Cause error
	Then  string // what became of what is known
	Shown bool   // what is known was given
}

func (e StoppedError) Error() string { return "stopped; " + e.Then }

func (e StoppedError) Unwrap() error { return e.Cause }
