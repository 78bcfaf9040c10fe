package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"lostair/cmd/internal/command"
	"lostair/cmd/internal/console"
)

func newRoot(s console.Streams) *cobra.Command {
	root := &cobra.Command{
		Use:   "lostair",
		Short: "Find where a dust-extraction system loses its air",
		Long: `lostair finds where a workshop's dust-extraction system loses its air. Describe
the system in a YAML file, take some readings with a manometer and an
anemometer, and it names the likely faults, how sure it is, what to do first and
what to read next.

  lostair demo              try it on an invented shop
  lostair new my-shop       start your own: two files with comments to fill in`,
		Version:       versionText(),
		SilenceErrors: true,
		SilenceUsage:  true,
		Args:          cobra.ArbitraryArgs,
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) > 0 {
				return command.Misuse(cmd, unknownCommand(cmd, args[0]))
			}
			return cmd.Help()
		},
	}
	root.SetIn(s.In)
	root.SetOut(s.Out) // before the command completion is made, which keeps it
	root.SetErr(s.Err)
	root.SetUsageTemplate(strings.ReplaceAll(root.UsageTemplate(), ".FlagUsages ", fmt.Sprintf(".FlagUsagesWrapped %d ", command.HelpWidth)))
	root.SetVersionTemplate("lostair {{.Version}}\n")
	root.CompletionOptions.HiddenDefaultCmd = true
	root.SetFlagErrorFunc(func(cmd *cobra.Command, err error) error { return command.Misuse(cmd, plainFlagError(cmd, err)) })
	root.AddCommand(
		newNew(s),
		newCheck(s),
		newExpect(s),
		newRound(s),
		newDiagnose(s),
		newVerify(s),
		newWhatIf(s),
		newTrack(s),
		newPlan(s),
		newSheet(s),
		newShow(s),
		newDemo(s),
		newServe(s),
		newPage(s),
		newSources(s),
		newSchema(s),
		newVersion(s),
		newFormats(),
	)
	root.SetHelpCommand(newHelp())
	strictCompletion(root)
	command.FoldHelp(root)
	return root
}

// takenBy says what a flag of each type takes.
var takenBy = map[string]string{"int": "a whole number", "uint64": "a whole number, 0 or more", "float64": "a number", "bool": "true or false", "duration": "a time, like 30s or 2m"}

// plainFlagError puts a value that a flag can't take in plain words.
func plainFlagError(cmd *cobra.Command, err error) error {
	var bad *pflag.InvalidValueError
	if !errors.As(err, &bad) {
		return err
	}
	takes, known := takenBy[bad.GetFlag().Value.Type()]
	if !known {
		return err
	}
	return fmt.Errorf("--%s takes %s, not %q", bad.GetFlag().Name, takes, bad.GetValue())
}
