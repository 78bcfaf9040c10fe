package main

import (
	"io"
	"strings"

	"github.com/spf13/cobra"

	"lostair/cmd/internal/command"
	"lostair/cmd/internal/console"
	"lostair/cmd/internal/subjects"
	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/whatif"
	"lostair/report/changed"
)

type whatifFlags struct {
	command.Output
	set, open []string
	units     string
	plain     bool
	all       bool
}

func newWhatIf(s console.Streams) *cobra.Command {
	var f whatifFlags
	cmd := &cobra.Command{
		Use:   "whatif SYSTEM --set KEY=VALUE...",
		Short: "Say what a change to a system would do to its air",
		Long: `Compute what every port, duct and tap should have before and after one or more
changes, side by side. The system file is not changed. A value carries its unit,
or has that of the system file. Without --open each port's gates are opened alone.

What can be set:
  ` + strings.Join(whatif.Keys(), "\n  "),
		Example: "  lostair whatif system.yaml --set 'planer-drop.diameter=125 mm' --set filter=2x --open planer --open planer+saw\n  lostair whatif system.yaml --set 'planer-drop.diameter=6 in' --open planer",
		Args:    command.Takes(1, 1, "one system file"),
		RunE:    func(cmd *cobra.Command, args []string) error { return f.run(cmd, s, args[0]) },
	}
	f.Flags(cmd, "text", "html", "csv", "json")
	cmd.Flags().StringArrayVar(&f.set, "set", nil, "a change, KEY=VALUE; may be given again")
	cmd.Flags().StringArrayVar(&f.open, "open", nil, "gates that are open: ids joined with +, all, or none; may be given again")
	command.CompleteOpen(cmd, "open")
	completeSet(cmd, "set")
	command.UnitsFlag(cmd, &f.units)
	command.PlainFlag(cmd, &f.plain)
	command.AllFlag(cmd, &f.all)
	command.TimeoutFlag(s, cmd)
	return cmd
}

func (f *whatifFlags) run(cmd *cobra.Command, s console.Streams, system string) error {
	if err := f.Check(cmd, system); err != nil {
		return err
	}
	open, err := command.Opens(cmd, f.open)
	if err != nil {
		return err
	}
	l, err := command.Load(s, system, nil, nil)
	if err != nil {
		return err
	}
	u, err := command.UnitsOf(f.units, l.Sys.Units)
	if err != nil {
		return command.Misuse(cmd, err)
	}
	ctx := cmd.Context()
	x, err := command.InTime(ctx, func() (*whatif.Comparison, error) { return whatif.Compare(ctx, l.Sys, f.set, open) })
	if err != nil {
		return err
	}
	return f.Write(s, func(w io.Writer) error {
		if f.Format == "csv" {
			return changed.CSV(w, changed.From(x, u))
		}
		return subjects.Altered.Show(w, x, subjects.View{Format: f.Format, Units: u, Style: f.AllStyle(s, f.plain, f.all)})
	})
}

// completeSet completes the key of a flag that takes KEY=VALUE: those of the
// system file that is the first argument.
func completeSet(cmd *cobra.Command, flag string) {
	_ = cmd.RegisterFlagCompletionFunc(flag, func(_ *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
		if len(args) == 0 || strings.Contains(typed, "=") {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		sys, _ := systemfile.LoadFile(args[0])
		if sys == nil {
			return nil, cobra.ShellCompDirectiveNoFileComp
		}
		var out []string
		keys, what := whatif.KeysOf(sys)
		for i, k := range keys {
			if strings.HasPrefix(k, typed) {
				out = append(out, k+"=\t"+what[i])
			}
		}
		return out, cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveNoSpace
	})
}
