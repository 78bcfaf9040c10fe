package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"lostair/cmd/internal/runs"
	"lostair/diagnose/duct"
	"lostair/readings"
	"lostair/readings/units"
)

// newFormats says what may stand in the files, as help of any command would. It is made from the
// tables that the readers use, so it can't go stale.
func newFormats() *cobra.Command {
	return &cobra.Command{
		Use:   "formats",
		Short: "Say what may stand in the system file and the readings file",
		Args:  takes(0, 0, "no arguments"),
		RunE:  func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
		Long: strings.Join([]string{
			"The system file is YAML and describes one duct system; the readings file is CSV (comma, semicolon or tab) or a workbook (.xlsx) and holds one survey. Lines that start with # are comments. lostair new writes both with an example.",
			unitsHelp(), "SYSTEM FILE\n\n" + keysHelp(), systemHelp(), usualHelp(), "READINGS FILE\n\n" + columnsHelp(), readingsHelp(), looksHelp(), kindsHelp(), "TABLE OF RUNS\n\n" + runsHelp(),
		}, "\n\n"),
	}
}

// unitsHelp lists what a bare number means.
func unitsHelp() string {
	var b strings.Builder
	b.WriteString("A number may carry its unit (4 in, 12 ft 6 in, 2.5 inH2O, 400 cfm). A bare number has the unit of the system file's key units:\n")
	fmt.Fprintf(&b, "  %-16s %-8s %s\n", "", "metric", "us")
	for _, d := range units.Dimensions() {
		if m := d.Symbol(units.Metric); m != "" {
			fmt.Fprintf(&b, "  %-16s %-8s %s\n", d, m, d.Symbol(units.US))
		}
	}
	return b.String()
}

// keysHelp lists each key of the system file, a heading for each section.
func keysHelp() string {
	var b strings.Builder
	for _, s := range duct.Sections() {
		if s != "" {
			fmt.Fprintf(&b, "\n%s\n", s)
		}
		for _, k := range duct.Keys(s) {
			what := k.What
			if len(k.Choices) > 0 && len(k.Choices) < 5 {
				what += " (" + strings.Join(k.Choices, ", ") + ")"
			}
			switch {
			case k.Needed:
				what += "; needed"
			case k.Default != "":
				what += "; left out: " + k.Default
			}
			fmt.Fprintf(&b, "  %-18s %s\n", k.Name, what)
		}
	}
	return b.String()
}

// columnsHelp lists the columns of a readings file.
func columnsHelp() string {
	var b strings.Builder
	b.WriteString("Columns, in any order:\n")
	for _, c := range readings.ColumnTable() {
		what := c.What
		if c.Needed {
			what += "; needed"
		}
		fmt.Fprintf(&b, "  %-11s %s\n", c.Name, what)
	}
	b.WriteString("Rows equal in all but value, note and position are repeats of one reading. Rows that differ in position are one traverse.\n")
	return b.String()
}

// runsHelp lists the columns of a table of runs.
func runsHelp() string {
	var b strings.Builder
	b.WriteString("A shop's runs as a spreadsheet, for lostair new --from and the bench page, which also writes one: CSV or a workbook (.xlsx), one row a run. A unit may stand in a header: length (ft). Columns, in any order, and other names for them:\n")
	for _, c := range runs.Columns() {
		fmt.Fprintf(&b, "  %-12s %s (%s)\n", c.Name, c.What, strings.Join(c.Also, ", "))
	}
	return b.String()
}
