package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"lostair/cmd/internal/command"
	"lostair/cmd/internal/console"
	"lostair/cmd/internal/legend"
	"lostair/diagnose"
	"lostair/diagnose/duct"
	"lostair/readings"
	"lostair/readings/problem"
	"lostair/readings/units"
	"lostair/report"
	"lostair/report/expected"
	"lostair/report/layout"
)

func newCheck(s console.Streams) *cobra.Command {
	var ducts bool
	cmd := &cobra.Command{
		Use:   "check SYSTEM [READINGS...]",
		Short: "Check a system file and readings files; say all that is wrong",
		Long: `Check a system file and readings files. All mistakes are reported at
once, with file, line, column and what to do. If there are none, a line for each
file says what was understood. You are warned of readings that a system can hardly
show: pressure above the room's before the fan, air at a port whose gate is shut,
air too fast for a vane. Then comes what the readings tell of the files: a column
in another unit, gates that stood differently, lines of the system file that differ
from the shop, likeliest first, each with what to look at.

` + legend.System() + "\n" + legend.Readings(),
		Example: "  lostair check system.yaml\n  lostair check system.yaml --ducts\n  lostair check system.yaml readings.csv",
		Args:    command.Takes(1, -1, "a system file and, if you like, readings files"),
		RunE: func(cmd *cobra.Command, args []string) error {
			l, err := command.Gather(s, args[0], args[1:], nil)
			if err == nil {
				err = diagnose.Fits(l.Sys, l.Surveys...).Err()
			}
			warned := odd(l)
			if err != nil {
				return told(err, warned)
			}
			l.Warnings = append(l.Warnings, warned...)
			console.Tell(s, l.Warnings)
			if err := understood(s, l, ducts); err != nil {
				return err
			}
			return contradicted(cmd.Context(), s, l)
		},
	}
	cmd.Flags().BoolVar(&ducts, "ducts", false, "draw the ducts as they were understood, a line each, to read back")
	command.TimeoutFlag(s, cmd)
	command.DatesFlag(cmd, &s)
	return cmd
}

// contradictedMost is how many readings a survey may hold for that: a larger one
// takes as long as its diagnosis.
const contradictedMost = 240

// contradicted says what was written down that the readings contradict.
func contradicted(ctx context.Context, s console.Streams, l *command.Loaded) error {
	for _, v := range l.Surveys {
		if len(v.Readings) == 0 || len(v.Readings) > contradictedMost {
			continue
		}
		d, err := command.InTime(ctx, func() (*diagnose.Result, error) {
			return diagnose.Diagnose(ctx, l.Sys, v, diagnose.Options{})
		})
		if cause := ctx.Err(); cause != nil {
			return command.StoppedError{Cause: cause, Then: "whether the readings contradict the files was not looked at to the end", Shown: true}
		}
		if err != nil {
			continue // that is for diagnose to say
		}
		for _, line := range report.From(d, l.Sys.Units).Sentences() {
			if _, err := fmt.Fprintln(s.Out, layout.Clean(v.File+": "+line)); err != nil {
				return err
			}
		}
	}
	return nil
}

// odd warns of readings that the system can't show, so far as they are known.
func odd(l *command.Loaded) problem.List {
	var out problem.List
	if l.Sys == nil {
		return nil
	}
	for _, v := range l.Surveys {
		out = append(out, diagnose.Odd(l.Sys, v)...)
	}
	return out
}

// told is what is wrong with files, with warnings of the readings where they
// belong in them.
func told(err error, warned problem.List) error {
	var list problem.List
	if !errors.As(err, &list) {
		return err
	}
	all := append(append(problem.List(nil), list...), warned...)
	place := map[string]int{} // of a file among them
	for _, p := range all {
		if _, ok := place[p.File]; !ok {
			place[p.File] = len(place)
		}
	}
	slices.SortStableFunc(all, func(a, b problem.Problem) int {
		return cmp.Or(cmp.Compare(place[a.File], place[b.File]), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	return all
}

// understood says what the files hold.
func understood(s console.Streams, l *command.Loaded, ducts bool) error {
	lines := []string{systemLine(l.Sys, verdictOn(l, l.Sys.File))}
	lines = append(append(lines, guessLines(l.Sys)...), legend.UsualLines(l.Sys)...)
	for _, v := range l.Surveys {
		lines = append(lines, surveyLine(v, verdictOn(l, v.File)))
	}
	if ducts {
		lines = append(append(lines, ""), expected.Ducts(l.Sys)...)
	}
	for _, line := range lines {
		if _, err := fmt.Fprintln(s.Out, layout.Clean(line)); err != nil {
			return err
		}
	}
	return nil
}

// verdictOn is "good" for a file that no warning names.
func verdictOn(l *command.Loaded, file string) string {
	n := 0
	for _, w := range l.Warnings {
		if w.File == file {
			n++
		}
	}
	if n == 0 {
		return "good"
	}
	return "readable, " + count(n, "warning")
}

func systemLine(sys *duct.System, verdict string) string {
	taps := 0
	for _, d := range sys.Ducts {
		taps += len(d.Taps)
	}
	system := sys.Units.String()
	if sys.Units == units.US {
		system = "US"
	}
	name := sys.Name
	if name != "" {
		name = ", " + name
	}
	return fmt.Sprintf("%s: %s%s; %s, %s, %s, %s, %s units", sys.File, verdict, name,
		count(len(sys.Ducts), "duct"), count(len(sys.Ports), "port"), count(len(sys.Gates()), "gate"), count(taps, "tap"), system)
}

// guessLines say how wide the fan is known whose file has no curve, what to read, and so
// of other parts of the collector that are a guess.
func guessLines(sys *duct.System) (out []string) {
	if guess := report.GuessedFan(sys, sys.Units); guess != "" {
		out = append(out, fmt.Sprintf("%s: %s. Read first the static pressure at %s with all gates shut and with one open, and the velocity at that port", sys.File, guess, readings.FanInlet))
	}
	for _, guess := range report.GuessedDrops(sys, sys.Units) {
		out = append(out, fmt.Sprintf("%s: %s", sys.File, guess))
	}
	return out
}

func surveyLine(v *readings.Survey, verdict string) string {
	settings := map[string]bool{}
	for _, r := range v.Readings {
		settings[r.Open.String()] = true
	}
	return fmt.Sprintf("%s: %s; %s, %s, %s of the gates", v.File, verdict,
		count(len(v.Rows), "row"), count(len(v.Readings), "reading"), count(len(settings), "setting"))
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
