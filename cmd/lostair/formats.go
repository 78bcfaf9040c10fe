package main

import (
	"strings"

	"github.com/spf13/cobra"

	"lostair/cmd/internal/command"
	"lostair/cmd/internal/legend"
)

// newFormats says what may stand in the files, as help of any command would. It is made from the
// tables that the readers use, so it can't go stale.
func newFormats() *cobra.Command {
	return &cobra.Command{
		Use:   "formats",
		Short: "Say what may stand in the system file and the readings file",
		Args:  command.Takes(0, 0, "no arguments"),
		RunE:  func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
		Long: strings.Join([]string{
			"The system file is YAML and describes one duct system; the readings file is CSV (comma, semicolon or tab) or a workbook (.xlsx) and holds one survey. Lines that start with # are comments. lostair new writes both with an example.",
			legend.Units(), "SYSTEM FILE\n\n" + legend.Keys(), legend.System(), legend.Usual(), "READINGS FILE\n\n" + legend.Columns(), legend.Readings(), legend.Looks(), legend.Kinds(), "TABLE OF RUNS\n\n" + legend.Runs(),
		}, "\n\n"),
	}
}
