package main

import (
	"context"
	"errors"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"lostair/cmd/internal/command"
	"lostair/cmd/internal/console"
	"lostair/diagnose/fault"
	"lostair/diagnose/plan"
	"lostair/readings"
	"lostair/readings/problem"
	"lostair/report/planned"
	"lostair/report/sheet"
)

func newSheet(s console.Streams) *cobra.Command {
	var o command.Output
	var from, units string
	var wish plan.Wish
	var expected, thorough bool
	cmd := &cobra.Command{
		Use:   "sheet SYSTEM [--plan[=FILE]]",
		Short: "Make a field sheet to print, and the readings file to fill in",
		Long: `Make a field sheet to print: stops in the order that moves the fewest gates,
room to write (a second line for what is read once more), looks to tick, and how
to take readings safely. What to expect is left out unless you ask with --expected,
since knowing it biases the reader. With --format csv it is the same round as a readings file with the
values left to fill in, which goes straight into diagnose; as xlsx it is the same for
a spreadsheet.

Without --plan the round is the usual one: each gate open alone, then all gates
shut and all open. With --plan alone, or with --weak or --minutes, it is the round
that lostair plan chooses; --plan=FILE takes it from a readings file, with or without values.

With --thorough it is the round of a thorough test: in each setting of the gates
in use every hood, branch and main, the collector, the filter and the fan, with
what to look at and who signs.`,
		Example: "  lostair sheet system.yaml -o sheet.html\n  lostair sheet system.yaml -o readings.csv\n  lostair sheet system.yaml -o readings.xlsx\n" +
			"  lostair sheet system.yaml --plan -o sheet.html\n  lostair sheet system.yaml --plan=round.csv -o sheet.html\n  lostair sheet system.yaml --weak lathe --minutes 30 -o sheet.html",
		Args: command.Takes(1, 2, "one system file"),
		RunE: func(cmd *cobra.Command, args []string) error {
			from, err := planFile(cmd, from, args)
			if err != nil {
				return err
			}
			if thorough && from != "" {
				return command.Misuse(cmd, errors.New("--thorough and --plan are two rounds; give one of them"))
			}
			if err := countInRange(cmd, wish.Count); err != nil {
				return err
			}
			if from == "" && !thorough && (cmd.Flags().Changed("weak") || cmd.Flags().Changed("minutes")) {
				from = chosen
			}
			for _, f := range []string{"count", "weak", "minutes"} {
				if cmd.Flags().Changed(f) && from != chosen {
					return command.Misuse(cmd, fmt.Errorf("--%s is for the round that --plan chooses; give --plan without a file, or leave it out", f))
				}
			}
			if err := o.Check(cmd, append(args[:1:1], from)...); err != nil {
				return err
			}
			l, err := command.Load(s, args[0], nil, nil)
			if err != nil {
				return err
			}
			u, err := command.UnitsOf(units, l.Sys.Units)
			if err != nil {
				return command.Misuse(cmd, err)
			}
			if err := checkWish(cmd, &wish, l.Sys); err != nil {
				return err
			}
			ctx := cmd.Context()
			sh, err := command.InTime(ctx, func() (*sheet.Sheet, error) { return sheetOf(ctx, s, l, from, wish, thorough, expected) })
			if err != nil {
				return err
			}
			return o.Write(s, func(w io.Writer) error {
				switch o.Format {
				case "csv":
					return sheet.CSV(w, sh, u)
				case "xlsx":
					return sheet.Workbook(w, sh, u)
				}
				return sheet.HTML(w, sh, u)
			})
		},
	}
	o.Flags(cmd, "html", "csv", "xlsx")
	cmd.Flags().StringVar(&from, "plan", "", "read what lostair plan chooses, or what the readings `FILE` says; left out: the usual round")
	cmd.Flags().Lookup("plan").NoOptDefVal = chosen
	wishFlags(cmd, &wish)
	cmd.Flags().BoolVar(&expected, "expected", false, "print beside each blank what to expect there; knowing it biases the reader")
	cmd.Flags().BoolVar(&thorough, "thorough", false, "the round of a thorough test, with what to look at, to fill in and hand over signed")
	command.UnitsFlag(cmd, &units)
	command.TimeoutFlag(s, cmd)
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
		return "", command.Misuse(cmd, fmt.Errorf("%q is one argument too many; it takes one system file", args[1]))
	}
	return args[1], nil
}

// sheetOf is the round of a plan, or the usual one.
func sheetOf(ctx context.Context, s console.Streams, l *command.Loaded, from string, wish plan.Wish, thorough, told bool) (*sheet.Sheet, error) {
	rows, file, of := sheet.UsualRound(l.Sys), l.Sys.File, ""
	if thorough {
		rows = sheet.ThoroughRound(l.Sys)
	}
	switch from {
	case "":
	case chosen:
		r, err := plan.Choose(ctx, l.Sys, nil, wish)
		if err != nil {
			return nil, err
		}
		rows = planned.Rows(r)
	default:
		read, list := readings.LoadPlanFile(from, l.Sys.Units)
		if err := list.Err(); err != nil {
			return nil, err
		}
		console.Tell(s, list)
		rows, file, of = read.Rows, from, read.Sheet
	}
	var expected []fault.Interval
	var err error
	if told {
		expected, err = plan.Ranges(ctx, l.Sys, file, rows)
	} else {
		expected, err = plan.Values(ctx, l.Sys, file, rows)
	}
	var bad problem.List
	if errors.As(err, &bad) {
		return nil, bad.InSheet(file, of)
	}
	if err != nil {
		return nil, err
	}
	sh := sheet.New(l.Sys, rows, expected)
	sh.Tell, sh.Thorough = told, thorough
	if len(sh.Looks) == 0 && !thorough && (from == "" || from == chosen) {
		sh.Looks = sheet.Looks(l.Sys)
	}
	return sh, nil
}
