package command

import (
	"fmt"

	"github.com/spf13/cobra"
)

// UsageError is a wrong way to call a command.
type UsageError struct {
	Cmd *cobra.Command
	err error
}

// Misuse is the error of a command that was called in a wrong way.
func Misuse(cmd *cobra.Command, err error) error { return UsageError{cmd, err} }

func (e UsageError) Error() string { return e.err.Error() }

// Takes checks the number of arguments; most below 0 means any. what says what
// they are.
func Takes(least, most int, what string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		switch {
		case len(args) < least:
			return Misuse(cmd, fmt.Errorf("it needs %s", what))
		case most >= 0 && len(args) > most:
			return Misuse(cmd, fmt.Errorf("%q is one argument too many; it takes %s", args[most], what))
		}
		return nil
	}
}
