package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/readings"
	"lostair/readings/units"
)

// newHelp stands in for the library's command, which shows the general help of a
// topic that there isn't and calls that a success.
func newHelp() *cobra.Command {
	return &cobra.Command{
		Use:   "help [COMMAND]",
		Short: "Say what a command does",
		Long:  "Say what a command does and which options it has; as --help behind it does.",
		ValidArgsFunction: func(cmd *cobra.Command, args []string, _ string) ([]string, cobra.ShellCompDirective) {
			var names []string
			for _, c := range cmd.Root().Commands() {
				if len(args) == 0 && c.IsAvailableCommand() {
					names = append(names, c.Name()+"\t"+c.Short)
				}
			}
			return names, cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			topic, rest, err := cmd.Root().Find(args)
			if err != nil || len(rest) > 0 {
				return usageError{cmd, unknownCommand(cmd.Root(), strings.Join(args, " "))}
			}
			topic.InitDefaultHelpFlag()
			return topic.Help()
		},
	}
}

// strictCompletion makes the library's completion command refuse a shell that it
// doesn't know; by itself it shows help and calls that a success.
func strictCompletion(root *cobra.Command) {
	root.InitDefaultCompletionCmd()
	cmd, _, err := root.Find([]string{"completion"})
	if err != nil {
		return
	}
	var shells []string
	for _, c := range cmd.Commands() {
		shells = append(shells, c.Name())
	}
	cmd.Args = cobra.ArbitraryArgs
	cmd.RunE = func(cmd *cobra.Command, args []string) error {
		if len(args) > 0 {
			return usageError{cmd, fmt.Errorf("there is no completion for the shell %q; use %s", args[0], orList(shells))}
		}
		return cmd.Help()
	}
}

// What help says of kinds, quantities, units and materials comes from their
// tables, so that it can't go stale.

func kindsHelp() string {
	var b strings.Builder
	b.WriteString("Kinds of fault, and how the severity of each is measured:\n")
	for _, k := range fault.Kinds() {
		if k == fault.Altered { // no fault, and none that a result names
			continue
		}
		unit := k.Dimension().Symbol(units.Metric)
		if us := k.Dimension().Symbol(units.US); us != unit {
			unit += " or " + us
		}
		if unit != "" {
			unit = ", " + unit
		}
		fmt.Fprintf(&b, "  %-16s %s%s\n", k, k.Measure(), unit)
	}
	return b.String()
}

func readingsHelp() string {
	var b strings.Builder
	b.WriteString("Quantities of the readings file, and units that their values may carry:\n")
	for _, name := range units.QuantityNames() {
		q, _ := units.QuantityNamed(name)
		fmt.Fprintf(&b, "  %-18s %s\n", name, strings.Join(units.Symbols(q.Dimension()), ", "))
	}
	fmt.Fprintf(&b, "Short names that are understood, in any letters: %s\n", strings.ReplaceAll(strings.Join(readings.ShortQuantities(), ", "), "_", " "))
	fmt.Fprintf(&b, "Points besides taps and ports: %s\n", reservedHelp())
	return b.String()
}

// looksHelp lists what can be looked at, which stands in a survey as readings do.
func looksHelp() string {
	var b strings.Builder
	b.WriteString("Looks. A look is one row: the look is the quantity, yes or no the value. open is none where the gates don't matter. Write no row for what you can't tell:\n")
	for _, name := range readings.LookNames() {
		k := readings.Look(name)
		what := k.At().String()
		if k.Number() {
			what += "; a number, in the unit of diameters"
		}
		fmt.Fprintf(&b, "  %-20s %s\n", name, what)
	}
	return b.String()
}

func reservedHelp() string {
	return strings.Join(readings.ReservedPoints(), ", ")
}

func systemHelp() string {
	var b strings.Builder
	b.WriteString("Materials of a duct:\n")
	for _, m := range duct.Materials() {
		fmt.Fprintf(&b, "  %-12s %s\n", m.Name, m.What)
	}
	b.WriteString("Hoods of a port, or a number:\n")
	for _, h := range duct.Hoods() {
		fmt.Fprintf(&b, "  %-12s %s\n", h.Name, h.What)
	}
	return b.String()
}
