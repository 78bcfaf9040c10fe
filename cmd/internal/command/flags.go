package command

import (
	"fmt"

	"github.com/spf13/cobra"

	"lostair/readings/units"
)

// UnitsFlag lets a command be told in which units it shows values; UnitsOf reads it.
func UnitsFlag(cmd *cobra.Command, to *string) {
	cmd.Flags().StringVar(to, "units", "", "show values in metric or us units; left out: those of the system file")
	_ = cmd.RegisterFlagCompletionFunc("units", cobra.FixedCompletions([]string{"metric", "us"}, cobra.ShellCompDirectiveNoFileComp))
}

// PlainFlag lets a command be told to write ASCII characters alone, without colour.
func PlainFlag(cmd *cobra.Command, to *bool) {
	cmd.Flags().BoolVar(to, "plain", false, "text in ASCII characters only, without colour")
}

// AllFlag lets a command be told to show all that it knows.
func AllFlag(cmd *cobra.Command, to *bool) {
	cmd.Flags().BoolVar(to, "all", false, "text with everything: evidence, every port and setting, all that may be wrong")
}

// UnitsOf is the unit system that the user asks for; given as "", the file's.
func UnitsOf(text string, file units.System) (units.System, error) {
	for _, u := range []units.System{units.Metric, units.US} {
		if text == u.String() {
			return u, nil
		}
	}
	if text == "" {
		return file, nil
	}
	return file, fmt.Errorf("there is no system of units %q; use metric or us", text)
}
