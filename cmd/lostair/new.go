package main

import (
	"embed"
	"path/filepath"

	"github.com/spf13/cobra"

	"lostair/cmd/internal/command"
	"lostair/cmd/internal/console"
	"lostair/cmd/internal/disk"
	"lostair/readings/units"
)

//go:embed starter
var starter embed.FS

func newNew(s console.Streams) *cobra.Command {
	var force bool
	var system, from string
	cmd := &cobra.Command{
		Use:   "new [FOLDER]",
		Short: "Write a system file and a readings file to start your own",
		Long: `Write a system file and a readings file into a folder (left out: this one). They
describe a small invented shop and hold readings of it, so they can be diagnosed
as they are; change them into your own.

A fan without a curve can be described too: by its most air and most suction, by
motor and wheel, or not at all. Then the readings tell its curve, and check says
how wide it is known.

With --from the system file begins with the runs of a spreadsheet, one row a run,
saved as CSV or as a workbook. Headers may stand in any order; a unit may stand in
one, as in "length (ft)". lostair help formats says what each column holds.`,
		Example: "  lostair new my-shop\n  lostair new my-shop --units us\n  lostair new my-shop --units us --from ducts.csv",
		Args:    command.Takes(0, 1, "one folder at most"),
		RunE: func(cmd *cobra.Command, args []string) error {
			u, err := command.UnitsOf(system, units.Metric)
			if err != nil {
				return command.Misuse(cmd, err)
			}
			dir := "."
			if len(args) > 0 {
				dir = args[0]
			}
			if from != "" {
				return newFromTable(s, dir, from, u, force)
			}
			files, err := starterFiles(u)
			if err != nil {
				return err
			}
			if err := disk.WriteAll(dir, files, force); err != nil {
				return err
			}
			sys, rd := filepath.Join(dir, systemFile), filepath.Join(dir, readingsFile)
			_, err = console.Say(s.Out, "Wrote %s and %s. Change them into your shop, then:\n  lostair check %s %s\n  lostair diagnose %s %s\n", sys, rd, sys, rd, sys, rd)
			return err
		},
	}
	cmd.Flags().BoolVar(&force, "force", false, "replace the files if they exist")
	cmd.Flags().StringVar(&from, "from", "", "begin with the runs of a table, a `FILE` with columns such as id, into, size, length, gate, machine, need: lostair help formats lists them")
	cmd.Flags().StringVar(&system, "units", units.Metric.String(), "what a bare number in them means: metric or us")
	return cmd
}

func starterFiles(u units.System) ([]disk.File, error) {
	return embedded(starter, renames{
		{"starter/system-" + u.String() + ".yaml", systemFile},
		{"starter/readings-" + u.String() + ".csv", readingsFile},
	})
}
