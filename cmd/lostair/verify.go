package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"lostair/cmd/internal/command"
	"lostair/cmd/internal/console"
	"lostair/cmd/internal/subjects"
	"lostair/diagnose/verify"
	"lostair/readings/units"
	"lostair/report/verified"
)

type verifyFlags struct {
	command.Output
	baselines, open   []string
	tolerance, filter string
	units             string
	plain             bool
	failOnFault       bool
}

func newVerify(s console.Streams) *cobra.Command {
	var f verifyFlags
	cmd := &cobra.Command{
		Use:   "verify SYSTEM READINGS...",
		Short: "Check a new install against its design",
		Long: `Check an install against its design from the readings taken in it; several files
are one survey. Each demand passes, fails, or is not shown, by its probability
and not by the bare number: air at each port against its need and the design,
speed in each duct against the conveying velocity, suction at the taps, fan,
filter, faults, the size of each drop, and which gates must be opened together.

Exit status: 0 done, 2 bad input or usage, 1 only with --fail-on-fault when a
demand fails; one that is not shown doesn't count as failed.`,
		Example: "  lostair verify system.yaml readings.csv\n  lostair verify system.yaml readings.csv --open saw+sander --format html -o acceptance.html",
		Args:    command.Takes(2, -1, "a system file and at least one readings file"),
		RunE:    func(cmd *cobra.Command, args []string) error { return f.run(cmd, s, args[0], args[1:]) },
	}
	f.Flags(cmd, "text", "html", "json")
	command.DatesFlag(cmd, &s)
	cmd.Flags().StringArrayVar(&f.open, "open", nil, "a further setting of the gates to judge: ids joined with +; may be given again")
	command.CompleteOpen(cmd, "open")
	cmd.Flags().StringVar(&f.tolerance, "tolerance", "10%", "how far flow and pressure may lie off the design")
	cmd.Flags().StringVar(&f.filter, "filter", "2x", "multiple of the clean filter's drop at which ports must still get their need")
	cmd.Flags().StringArrayVar(&f.baselines, "baseline", nil, "readings of the same system when it was sound; may be given again")
	cmd.Flags().BoolVar(&f.failOnFault, "fail-on-fault", false, "exit with status 1 if a demand fails")
	command.UnitsFlag(cmd, &f.units)
	command.PlainFlag(cmd, &f.plain)
	command.TimeoutFlag(s, cmd)
	return cmd
}

func (f *verifyFlags) run(cmd *cobra.Command, s console.Streams, system string, surveys []string) error {
	inputs := append(append([]string{system}, surveys...), f.baselines...)
	if err := f.Check(cmd, inputs...); err != nil {
		return err
	}
	if err := command.StdinOnce(cmd, inputs); err != nil {
		return err
	}
	opt, err := f.options(cmd)
	if err != nil {
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
	p := console.NewProgress(s, system)
	opt.Baselines, opt.Steps = l.Baselines, p.Step
	ctx := cmd.Context()
	v, err := command.InTime(ctx, func() (*verify.Report, error) { return verify.Verify(ctx, l.Sys, l.Surveys, opt) })
	p.Clear()
	if v == nil {
		return err
	}
	if err := f.End(s, err, func(w io.Writer) error {
		return subjects.Checked.Show(w, v, subjects.View{Format: f.Format, Units: u, Style: f.Style(s, f.plain)})
	}); err != nil {
		return err
	}
	if f.failOnFault && verified.From(v, u).Failed > 0 {
		return console.ErrFaults
	}
	return nil
}

func (f *verifyFlags) options(cmd *cobra.Command) (verify.Options, error) {
	var opt verify.Options
	open, err := command.Opens(cmd, f.open)
	if err != nil {
		return opt, err
	}
	opt.Open = open
	t, err := units.Parse(f.tolerance, units.Share, units.Metric)
	if err != nil || t.SI <= 0 || t.SI >= 1 {
		return opt, command.Misuse(cmd, fmt.Errorf("--tolerance %q is not possible; write a share such as 10%%", f.tolerance))
	}
	m, err := units.Parse(f.filter, units.Multiple, units.Metric)
	if err != nil || m.SI < 1 {
		return opt, command.Misuse(cmd, fmt.Errorf("--filter %q is not possible; write a multiple of 1 or more, such as 2x", f.filter))
	}
	opt.Tolerance, opt.Filter = t.SI, m.SI
	return opt, nil
}
