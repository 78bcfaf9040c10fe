package main

import (
	"io"

	"github.com/spf13/cobra"

	"lostair/cmd/internal/command"
	"lostair/cmd/internal/console"
	"lostair/diagnose/facts"
	"lostair/report/sources"
)

func newSources(s console.Streams) *cobra.Command {
	var o command.Output
	var plain bool
	cmd := &cobra.Command{
		Use:   "sources",
		Short: "List every number and formula behind an answer, with its source",
		Long: `List every coefficient, formula and prior that the program computes with: its
value, where it comes from, and how we have it (read, quoted, value from memory,
common practice without a source, fixed by the file formats, own choice). The
list is made from what the code computes with, so it can't be out of date.`,
		Example: "  lostair sources\n  lostair sources --format json",
		Args:    command.Takes(0, 0, "no arguments"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := o.Check(cmd); err != nil {
				return err
			}
			facts := facts.Facts()
			return o.Write(s, func(w io.Writer) error {
				if o.Format == "json" {
					return sources.JSON(w, facts)
				}
				return sources.Text(w, facts, o.Style(s, plain))
			})
		},
	}
	o.Flags(cmd, "text", "json")
	command.PlainFlag(cmd, &plain)
	return cmd
}
