package main

import (
	"context"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"lostair/cmd/internal/command"
	"lostair/cmd/internal/console"
	"lostair/cmd/internal/legend"
	"lostair/cmd/internal/subjects"
	"lostair/diagnose"
	"lostair/readings/units"
	"lostair/report/html"
)

type diagnoseFlags struct {
	command.Output
	baselines   []string
	units       string
	plain, all  bool
	failOnFault bool
}

func newDiagnose(s console.Streams) *cobra.Command {
	var f diagnoseFlags
	cmd := &cobra.Command{
		Use:   "diagnose SYSTEM READINGS...",
		Short: "Find what is wrong with a system from the readings taken in it",
		Long: `Find what is wrong with a system from the readings taken in it. Each readings
file is one survey and is diagnosed by itself; - is standard input. With
--format json several surveys make a list; --format html makes a page with a
drawing of the ducts.

` + legend.Kinds() + `
Exit status: 0 done, 2 bad input or usage; only with --fail-on-fault 1 when a
fault is asserted, and 3 when the verdict is unclear: something is probably
wrong, and the readings don't say what. With several surveys, a fault in
any of them comes first. 4 when it was stopped, by --timeout or Ctrl-C: then what is known so
far is given, marked as unfinished.`,
		Example: "  lostair diagnose system.yaml readings.csv\n  lostair diagnose system.yaml now.csv --baseline when-new.csv --format json\n  lostair diagnose system.yaml now.csv --format html -o report.html",
		Args:    command.Takes(2, -1, "a system file and at least one readings file"),
		RunE: func(cmd *cobra.Command, args []string) error {
			return f.run(cmd, s, args[0], args[1:])
		},
	}
	f.Flags(cmd, "text", "json", "html", "svg")
	command.DatesFlag(cmd, &s)
	cmd.Flags().StringArrayVar(&f.baselines, "baseline", nil, "readings of the same system when it was sound; may be given again")
	cmd.Flags().BoolVar(&f.failOnFault, "fail-on-fault", false, "exit with status 1 if a fault is asserted, 3 if the verdict is unclear")
	command.UnitsFlag(cmd, &f.units)
	command.PlainFlag(cmd, &f.plain)
	command.AllFlag(cmd, &f.all)
	command.TimeoutFlag(s, cmd)
	return cmd
}

func (f *diagnoseFlags) run(cmd *cobra.Command, s console.Streams, system string, surveys []string) error {
	if (f.Format == "html" || f.Format == "svg") && len(surveys) > 1 {
		return command.Misuse(cmd, fmt.Errorf("a page or a drawing shows one survey; call it once for each of the %d", len(surveys)))
	}
	inputs := append(append([]string{system}, surveys...), f.baselines...)
	if err := f.Check(cmd, inputs...); err != nil {
		return err
	}
	if err := command.StdinOnce(cmd, inputs); err != nil {
		return err
	}
	l, err := command.Load(s, system, surveys, f.baselines)
	if err != nil {
		return err
	}
	u, err := command.UnitsOf(f.units, l.Sys.Units)
	if err != nil {
		return command.Misuse(cmd, err)
	}
	results, err := diagnoseAll(cmd.Context(), s, l)
	if len(results) < len(l.Surveys) {
		return err
	}
	if err := f.End(s, err, func(w io.Writer) error {
		if f.Format == "svg" {
			return html.Picture(w, results[0], u)
		}
		return f.show(w, s, results, u)
	}); err != nil {
		return err
	}
	if f.failOnFault {
		return worst(results)
	}
	return nil
}

// diagnoseAll diagnoses each survey against the same baselines. If it is stopped,
// what is known by then of each comes with the error.
func diagnoseAll(ctx context.Context, s console.Streams, l *command.Loaded) ([]*diagnose.Result, error) {
	var out []*diagnose.Result
	var cause error
	for _, v := range l.Surveys {
		if cause != nil {
			out = append(out, diagnose.Unfinished(nil, l.Sys, v, l.Baselines))
			continue
		}
		p := console.NewProgress(s, v.File)
		r, err := command.InTime(ctx, func() (*diagnose.Result, error) {
			return diagnose.Diagnose(ctx, l.Sys, v, diagnose.Options{Baselines: l.Baselines, Steps: p.Step})
		})
		p.Clear()
		if r == nil && ctx.Err() != nil {
			r = diagnose.Unfinished(nil, l.Sys, v, l.Baselines)
		}
		if r == nil {
			return nil, err
		}
		cause, out = err, append(out, r)
	}
	return out, cause
}

func (f *diagnoseFlags) show(w io.Writer, s console.Streams, results []*diagnose.Result, u units.System) error {
	v := subjects.View{Format: f.Format, Units: u, Style: f.Style(s, f.plain)}
	v.Style.All = f.all
	if f.Format == "json" && len(results) > 1 {
		return subjects.Diagnosed.List(w, results, v)
	}
	for i, r := range results {
		if i > 0 {
			if _, err := io.WriteString(w, "\n\n"); err != nil {
				return err
			}
		}
		if err := subjects.Diagnosed.Show(w, r, v); err != nil {
			return err
		}
	}
	return nil
}

// worst is what a script must know of the results: that a fault is asserted or,
// if none is, that something is probably wrong all the same. A verdict that is
// not known must not pass for a sound system.
func worst(results []*diagnose.Result) error {
	var err error
	for _, r := range results {
		if len(r.Faults) > 0 {
			return console.ErrFaults
		}
		if r.Verdict == diagnose.Unclear {
			err = console.ErrUnclear
		}
	}
	return err
}
