package main

import (
	"context"
	"io"

	"github.com/spf13/cobra"

	"lostair/diagnose"
	"lostair/readings"
	"lostair/report"
)

func newSheet(s streams) *cobra.Command {
	var o output
	var plan, units string
	cmd := &cobra.Command{
		Use:   "sheet SYSTEM",
		Short: "Make a field sheet to print, and the readings file to fill in",
		Long: `Make a field sheet to print: stops in the order that moves the fewest gates, what
each should show if nothing is wrong, room to write, and how to take readings
safely. With --format csv it is the same round as a readings file with the
values left to fill in, which goes straight into diagnose.

Without --plan the round is the usual one: each gate open alone, then all gates
shut and all open. The plan is a readings file with or without values, such as
lostair plan makes.`,
		Example: "  lostair sheet system.yaml -o sheet.html\n  lostair sheet system.yaml --format csv -o readings.csv\n" +
			"  lostair plan system.yaml --format csv -o round.csv\n  lostair sheet system.yaml --plan round.csv -o sheet.html",
		Args: takes(1, 1, "one system file"),
		RunE: func(cmd *cobra.Command, args []string) error {
			inputs := args
			if plan != "" {
				inputs = append(inputs, plan)
			}
			if err := o.check(cmd, inputs...); err != nil {
				return err
			}
			l, err := load(s, args[0], nil, nil)
			if err != nil {
				return err
			}
			u, err := unitsOf(units, l.sys.Units)
			if err != nil {
				return usageError{cmd, err}
			}
			sh, err := sheetOf(cmd.Context(), s, l, plan)
			if err != nil {
				return err
			}
			return o.write(s, func(w io.Writer) error {
				if o.format == "csv" {
					return report.SheetCSV(w, sh, u)
				}
				return report.SheetHTML(w, sh, u)
			})
		},
	}
	o.flags(cmd, "html", "csv")
	cmd.Flags().StringVar(&plan, "plan", "", "readings file that says what to read; left out: the usual round")
	unitsFlag(cmd, &units)
	return cmd
}

// sheetOf is the round of a plan, or the usual one.
func sheetOf(ctx context.Context, s streams, l *loaded, plan string) (*report.Sheet, error) {
	rows, file := report.UsualRound(l.sys), l.sys.File
	if plan != "" {
		read, list := readings.LoadPlanFile(plan, l.sys.Units)
		if err := list.Err(); err != nil {
			return nil, err
		}
		tell(s, list)
		rows, file = read, plan
	}
	expected, err := diagnose.Ranges(ctx, l.sys, file, rows)
	if err != nil {
		return nil, err
	}
	return report.NewSheet(l.sys, rows, expected), nil
}
