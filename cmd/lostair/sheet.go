package main

import (
	"context"
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"lostair/diagnose/plan"
	"lostair/readings"
	"lostair/report/planned"
	"lostair/report/sheet"
)

func newSheet(s streams) *cobra.Command {
	var o output
	var from, units string
	var count int
	var thorough bool
	cmd := &cobra.Command{
		Use:   "sheet SYSTEM [--plan[=FILE]]",
		Short: "Make a field sheet to print, and the readings file to fill in",
		Long: `Make a field sheet to print: stops in the order that moves the fewest gates, what
each should show if nothing is wrong, room to write, and how to take readings
safely. With --format csv it is the same round as a readings file with the
values left to fill in, which goes straight into diagnose.

Without --plan the round is the usual one: each gate open alone, then all gates
shut and all open. With --plan alone it is the round that lostair plan chooses;
--plan=FILE takes it from a readings file, with or without values.

With --thorough it is the round of a thorough test: in each setting of the gates
in use every hood, branch and main, the collector, the filter and the fan, with
what to look at and who signs.`,
		Example: "  lostair sheet system.yaml -o sheet.html\n  lostair sheet system.yaml --format csv -o readings.csv\n" +
			"  lostair sheet system.yaml --plan -o sheet.html\n  lostair sheet system.yaml --plan=round.csv -o sheet.html",
		Args: takes(1, 2, "one system file"),
		RunE: func(cmd *cobra.Command, args []string) error {
			from, err := planFile(cmd, from, args)
			if err != nil {
				return err
			}
			if thorough && from != "" {
				return usageError{cmd, errors.New("--thorough and --plan are two rounds; give one of them")}
			}
			if err := countInRange(cmd, count); err != nil {
				return err
			}
			if cmd.Flags().Changed("count") && from != chosen {
				return usageError{cmd, errors.New("--count is for the round that --plan chooses; give --plan without a file, or leave it out")}
			}
			if err := o.check(cmd, append(args[:1:1], from)...); err != nil {
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
			ctx := cmd.Context()
			sh, err := inTime(ctx, func() (*sheet.Sheet, error) { return sheetOf(ctx, s, l, from, count, thorough) })
			if err != nil {
				return err
			}
			return o.write(s, func(w io.Writer) error {
				if o.format == "csv" {
					return sheet.CSV(w, sh, u)
				}
				return sheet.HTML(w, sh, u)
			})
		},
	}
	o.flags(cmd, "html", "csv")
	cmd.Flags().StringVar(&from, "plan", "", "read what lostair plan chooses, or what the readings `FILE` says; left out: the usual round")
	cmd.Flags().Lookup("plan").NoOptDefVal = chosen
	cmd.Flags().IntVar(&count, "count", usualCount, "how many readings the round of --plan may have")
	cmd.Flags().BoolVar(&thorough, "thorough", false, "the round of a thorough test, with what to look at, to fill in and hand over signed")
	unitsFlag(cmd, &units)
	timeoutFlag(s, cmd)
	return cmd
}

// chosen stands for the round that plan chooses. A file of that name can be
// given as ./lostair plan.
const chosen = "lostair plan"

// planFile is the file of --plan; it may stand behind a blank as well.
func planFile(cmd *cobra.Command, from string, args []string) (string, error) {
	switch {
	case len(args) == 1:
		return from, nil
	case from != chosen:
		return "", usageError{cmd, fmt.Errorf("%q is one argument too many; it takes one system file", args[1])}
	}
	return args[1], nil
}

// sheetOf is the round of a plan, or the usual one.
func sheetOf(ctx context.Context, s streams, l *loaded, from string, count int, thorough bool) (*sheet.Sheet, error) {
	rows, file := sheet.UsualRound(l.sys), l.sys.File
	if thorough {
		rows = sheet.ThoroughRound(l.sys)
	}
	switch from {
	case "":
	case chosen:
		r, err := plan.Plan(ctx, l.sys, nil, count)
		if err != nil {
			return nil, err
		}
		rows = planned.Rows(r)
	default:
		read, list := readings.LoadPlanFile(from, l.sys.Units)
		if err := list.Err(); err != nil {
			return nil, err
		}
		tell(s, list)
		rows, file = read, from
	}
	expected, err := plan.Ranges(ctx, l.sys, file, rows)
	if err != nil {
		return nil, err
	}
	sh := sheet.New(l.sys, rows, expected)
	sh.Thorough = thorough
	return sh, nil
}
