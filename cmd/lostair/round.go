package main

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"lostair/cmd/internal/command"
	"lostair/cmd/internal/console"
	"lostair/cmd/internal/disk"
	"lostair/cmd/internal/talk"
	"lostair/diagnose/round"
	"lostair/readings/dates"
	"lostair/readings/workbook"
)

func newRound(s console.Streams) *cobra.Command {
	var weak, because, date, units string
	var baselines []string
	var plain bool
	var limit time.Duration
	cmd := &cobra.Command{
		Use:   "round SYSTEM READINGS",
		Short: "Take readings one at a time, until it is enough",
		Long: `Take readings one at a time: which gates to set, where to hold what, and what a
sound system shows there. A value is taken as people type it (-4.9, 4.9 in,
1,2 kPa) and checked on the spot: sign, unit, decimal point, another gate, another
tap. What is asked next is what most changes what to do first, for the minutes
that it takes from where you stand; and the round says when it is enough, what to
do, and after the repair which readings prove it.

Each answer is in the readings file, and on the disk, before the next question.
Rows and comments that are there stay as they are. Stop whenever you like: the
same command goes on where the file left off. Readings after a repair go into a
file of their own beside it, and what was mended into repairs.csv.

Answers may also come from a script, a line each.`,
		Example: "  lostair round system.yaml round.csv --weak lathe\n  lostair round system.yaml round.csv --because \"monthly check\"",
		Args:    command.Takes(2, 2, "a system file and a readings file"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if args[1] == "-" {
				return command.Misuse(cmd, errors.New("a round keeps its answers in a file; give its name"))
			}
			if workbook.Named(args[1]) {
				return fmt.Errorf("%s is a workbook by its name, and a round writes CSV: save the sheet as CSV, or give another name", args[1])
			}
			for _, in := range append([]string{args[0]}, baselines...) {
				if disk.SameFile(in, args[1]) {
					return fmt.Errorf("%s is read and can't take the answers too; give another name", in)
				}
			}
			if err := command.TimeoutInRange(cmd, limit); err != nil {
				return err
			}
			when, err := dateOf(date, s.Clock())
			if err != nil {
				return command.Misuse(cmd, err)
			}
			l, err := command.Load(s, args[0], nil, baselines)
			if err != nil {
				return err
			}
			u, err := command.UnitsOf(units, l.Sys.Units)
			if err != nil {
				return command.Misuse(cmd, err)
			}
			t := talk.Talk{System: l.Sys, Readings: talk.File{Path: args[1], Write: disk.WriteWhole}, Baselines: l.Baselines, Date: when, Units: u,
				In: s.In, Out: s.Out, Style: console.StyleFor(s, plain), Echo: s.OutWidth == 0, Held: disk.Hold}
			if t.Complaint, err = complaintOf(l, weak, because); err != nil {
				return command.Misuse(cmd, err)
			}
			if limit > 0 {
				t.Within = func(ctx context.Context, work func(ctx context.Context) error) error {
					ctx, stop := context.WithTimeout(ctx, limit)
					defer stop()
					_, err := command.InTime(ctx, func() (struct{}, error) { return struct{}{}, work(ctx) })
					return err
				}
			}
			err = t.Run(cmd.Context())
			if errors.Is(err, context.DeadlineExceeded) && cmd.Context().Err() == nil {
				return command.StoppedError{Cause: err, Shown: true,
					Then: fmt.Sprintf("to work out the next question took longer than %s; everything is in %s, and the same command with a longer --timeout goes on", limit, args[1])}
			}
			if cause := cmd.Context().Err(); cause != nil {
				return command.StoppedError{Cause: cause, Then: "everything is in " + args[1] + "; the same command goes on", Shown: true}
			}
			return err
		},
	}
	cmd.Flags().DurationVar(&limit, "timeout", 0, "end the round where working out the next question takes longer than this, like 30s (exit status 4); what was answered is kept")
	cmd.Flags().StringVar(&weak, "weak", "", "the `PORT` that gets too little air")
	cmd.Flags().StringVar(&because, "because", "", `why else: "everything is weak", "new install", "monthly check" or "after a repair"`)
	cmd.Flags().StringArrayVar(&baselines, "baseline", nil, "earlier survey of the same system when it was sound; may be given again")
	cmd.Flags().StringVar(&date, "date", "", "day of the readings, like 2026-03-02; left out: today")
	command.UnitsFlag(cmd, &units)
	command.PlainFlag(cmd, &plain)
	return cmd
}

func dateOf(text string, now func() time.Time) (string, error) {
	if text == "" {
		day, ok := dates.Today(now())
		if !ok {
			return "", fmt.Errorf("this computer's clock says %s; give the day of the readings with --date", now().Format(time.DateOnly))
		}
		return day, nil
	}
	if _, err := time.Parse(time.DateOnly, text); err != nil {
		return "", fmt.Errorf("--date takes a day like 2026-03-02, not %q", text)
	}
	return text, nil
}

// complaintOf is the complaint that the flags give; "": none, so it is asked for.
func complaintOf(l *command.Loaded, weak, because string) (string, error) {
	switch {
	case weak != "" && because != "":
		return "", errors.New("give --weak or --because, not both")
	case weak != "":
		if _, ok := l.Sys.PortNamed(weak); !ok {
			return "", l.Sys.NoPort(weak)
		}
		return round.Complaint{Kind: round.WeakPort, Port: weak}.String(), nil
	case because == "":
		return "", nil
	}
	c, err := round.ParseComplaint(l.Sys, because)
	return c.String(), err
}
