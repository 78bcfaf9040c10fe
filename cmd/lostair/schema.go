package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"lostair/cmd/internal/command"
	"lostair/cmd/internal/console"
	"lostair/diagnose/duct/keys"
	"lostair/report"
)

func newSchema(s console.Streams) *cobra.Command {
	var o command.Output
	cmd := &cobra.Command{
		Use:   "schema system|result",
		Short: "Print the JSON Schema of the system file or of a result",
		Long: `Print the JSON Schema of the system file, with which an editor completes and
checks it, or of the result that diagnose --format json prints.`,
		Example:   "  lostair schema system -o system.schema.json",
		ValidArgs: []string{"system", "result"},
		Args:      command.Takes(1, 1, "system or result"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := o.Check(cmd); err != nil {
				return err
			}
			var text []byte
			switch args[0] {
			case "system":
				text = keys.Schema()
			case "result":
				text = report.ResultSchema()
			default:
				return command.Misuse(cmd, fmt.Errorf("there is no schema of %q; use system or result", args[0]))
			}
			return o.Write(s, func(w io.Writer) error {
				_, err := w.Write(text)
				return err
			})
		},
	}
	o.Flags(cmd, "json")
	return cmd
}
