package main

import (
	"github.com/spf13/cobra"

	"lostair/report/show"
)

func unitsFlag(cmd *cobra.Command, to *string) {
	cmd.Flags().StringVar(to, "units", "", "show values in metric or us units; left out: those of the system file")
	_ = cmd.RegisterFlagCompletionFunc("units", cobra.FixedCompletions([]string{"metric", "us"}, cobra.ShellCompDirectiveNoFileComp))
}

func plainFlag(cmd *cobra.Command, to *bool) {
	cmd.Flags().BoolVar(to, "plain", false, "text in ASCII characters only, without colour")
}

// style is the terminal's, or that of a file without colour.
func (o *output) style(s streams, plain bool) show.Style {
	if o.file != "" {
		s.outWidth = 0
	}
	return styleFor(s, plain)
}

func allFlag(cmd *cobra.Command, to *bool) {
	cmd.Flags().BoolVar(to, "all", false, "text with everything: evidence, every port and setting, all that may be wrong")
}

// allStyle is style with everything, or the first things alone.
func (o *output) allStyle(s streams, plain, all bool) show.Style {
	st := o.style(s, plain)
	st.All = all
	return st
}
