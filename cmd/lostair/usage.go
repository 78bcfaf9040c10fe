package main

import (
	"fmt"

	"github.com/spf13/cobra"
)

// usageError is a wrong way to call a command.
type usageError struct {
	cmd *cobra.Command
	err error
}

func (e usageError) Error() string { return e.err.Error() }

// takes checks the number of arguments; most below 0 means any. what says what
// they are.
func takes(least, most int, what string) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		switch {
		case len(args) < least:
			return usageError{cmd, fmt.Errorf("it needs %s", what)}
		case most >= 0 && len(args) > most:
			return usageError{cmd, fmt.Errorf("%q is one argument too many; it takes %s", args[most], what)}
		}
		return nil
	}
}
