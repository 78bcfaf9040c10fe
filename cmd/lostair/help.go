package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"lostair/cmd/internal/command"
	"lostair/readings/problem"
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
				return command.Misuse(cmd, unknownCommand(cmd.Root(), strings.Join(args, " ")))
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
			return command.Misuse(cmd, fmt.Errorf("there is no completion for the shell %q; use %s", args[0], problem.OrList(shells)))
		}
		return cmd.Help()
	}
}

// unknownCommand names the commands that may have been meant.
func unknownCommand(root *cobra.Command, name string) error {
	if near := root.SuggestionsFor(name); len(near) > 0 {
		return fmt.Errorf("there is no command %q; did you mean %q?", name, near[0])
	}
	return fmt.Errorf("there is no command %q", name)
}
