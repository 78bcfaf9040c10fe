package main

import (
	"io"

	"github.com/spf13/cobra"

	"lostair/cmd/internal/command"
	"lostair/cmd/internal/console"
	"lostair/cmd/internal/legend"
	"lostair/cmd/internal/subjects"
	"lostair/diagnose"
	"lostair/diagnose/duct"
	"lostair/diagnose/expect"
	"lostair/readings"
	"lostair/report/expected"
)

func newExpect(s console.Streams) *cobra.Command {
	var o command.Output
	var open []string
	var units string
	var plain, every bool
	cmd := &cobra.Command{
		Use:   "expect SYSTEM",
		Short: "Say what every port and tap should read if nothing is wrong",
		Long: `Compute what every port and tap of a sound system should read with the gates
given. As CSV it is a readings file. Points without a tap or a port: ` + legend.Reserved() + `.`,
		Example: "  lostair expect system.yaml --open saw\n  lostair expect system.yaml --open saw+sander --format csv -o expected.csv",
		Args:    command.Takes(1, 1, "one system file"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := o.Check(cmd, args[0]); err != nil {
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
			if !cmd.Flags().Changed("open") && len(l.Sys.Settings) > 0 {
				open = inUse(l.Sys)
			}
			all, err := command.InTime(cmd.Context(), func() ([]*expect.Expected, error) { return expectAll(cmd, l.Sys, open) })
			if err != nil {
				return err
			}
			return o.Write(s, func(w io.Writer) error {
				if o.Format == "csv" {
					return expected.CSV(w, all, u)
				}
				return subjects.Foreseen.Show(w, &subjects.Foretold{System: l.Sys, Settings: all}, subjects.View{Format: o.Format, Units: u, Style: o.AllStyle(s, plain, every)})
			})
		},
	}
	o.Flags(cmd, "text", "html", "csv", "json")
	cmd.Flags().StringArrayVar(&open, "open", []string{"all"}, "gates that are open: ids joined with +, all, or none; may be given again; left out: the file's settings, if it has any")
	command.CompleteOpen(cmd, "open")
	command.UnitsFlag(cmd, &units)
	command.PlainFlag(cmd, &plain)
	command.AllFlag(cmd, &every)
	command.TimeoutFlag(s, cmd)
	return cmd
}

// inUse are the gate settings that the system file names.
func inUse(sys *duct.System) []string {
	var out []string
	for _, t := range sys.Settings {
		out = append(out, t.String())
	}
	return out
}

// expectAll computes each setting of the gates that the user asks for.
func expectAll(cmd *cobra.Command, sys *duct.System, open []string) ([]*expect.Expected, error) {
	var all []*expect.Expected
	for _, text := range open {
		x, err := readings.ParseOpen(text)
		if err != nil {
			return nil, command.Misuse(cmd, err)
		}
		if err := cmd.Context().Err(); err != nil {
			return nil, err
		}
		e, err := expect.Expect(sys, x)
		if err != nil {
			return nil, err
		}
		if err := diagnose.RangeFlows(cmd.Context(), sys, e); err != nil {
			return nil, err
		}
		all = append(all, e)
	}
	return all, nil
}
