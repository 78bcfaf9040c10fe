package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"lostair/cmd/internal/command"
	"lostair/cmd/internal/console"
	"lostair/cmd/internal/subjects"
	"lostair/diagnose/duct"
	"lostair/diagnose/plan"
	"lostair/report/planned"
)

// usualCount is how many readings a round has if the user says nothing.
const usualCount = 20

func countInRange(cmd *cobra.Command, count int) error {
	if count < 1 || count > 2000 {
		return command.Misuse(cmd, fmt.Errorf("--count %d is out of range; give 1 to 2000 readings", count))
	}
	return nil
}

// wishFlags are the flags that say what a chosen round is to be like.
func wishFlags(cmd *cobra.Command, w *plan.Wish) {
	cmd.Flags().IntVar(&w.Count, "count", usualCount, "how many readings the round may have")
	cmd.Flags().Float64Var(&w.Minutes, "minutes", 0, "how many minutes the round may take; left out: any")
	cmd.Flags().StringVar(&w.Weak, "weak", "", "the `PORT` that gets too little air: what may take it comes first")
}

// checkWish refuses what no round can be.
func checkWish(cmd *cobra.Command, w *plan.Wish, sys *duct.System) error {
	if !(w.Minutes >= 0) || cmd.Flags().Changed("minutes") && w.Minutes < leastMinutes {
		return command.Misuse(cmd, fmt.Errorf("--minutes takes a number of minutes, %d or more", leastMinutes))
	}
	if _, ok := sys.PortNamed(w.Weak); w.Weak != "" && !ok {
		return command.Misuse(cmd, sys.NoPort(w.Weak))
	}
	return nil
}

// leastMinutes is what one reading takes.
const leastMinutes = 3

func newPlan(s console.Streams) *cobra.Command {
	var o command.Output
	var wish plan.Wish
	var units string
	var plain bool
	cmd := &cobra.Command{
		Use:   "plan SYSTEM [READINGS...]",
		Short: "Choose the readings that show most for the time they take",
		Long: `Choose the readings of a round that tell most about faults for the time they
take, and say what each should show and how small a fault the whole round would
show. If you give readings, they are taken as those of a sound system, and the plan
adds what they leave open; --weak says where air is missing. As CSV it is a readings file with the values left to fill in.`,
		Example: "  lostair plan system.yaml\n  lostair plan system.yaml --count 12 --format csv -o round.csv\n  lostair plan system.yaml --weak lathe --minutes 30",
		Args:    command.Takes(1, -1, "a system file"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := o.Check(cmd, args...); err != nil {
				return err
			}
			if err := countInRange(cmd, wish.Count); err != nil {
				return err
			}
			l, err := command.Load(s, args[0], args[1:], nil)
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
			r, err := command.InTime(ctx, func() (*plan.Round, error) { return plan.Choose(ctx, l.Sys, l.Surveys, wish) })
			if r == nil {
				return err
			}
			return o.End(s, err, func(w io.Writer) error {
				if o.Format == "csv" {
					return planned.CSV(w, r, u)
				}
				return subjects.Rounds.Show(w, r, subjects.View{Format: o.Format, Units: u, Style: o.Style(s, plain)})
			})
		},
	}
	o.Flags(cmd, "text", "html", "csv", "json")
	wishFlags(cmd, &wish)
	command.UnitsFlag(cmd, &units)
	command.PlainFlag(cmd, &plain)
	command.TimeoutFlag(s, cmd)
	return cmd
}
