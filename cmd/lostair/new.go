package main

import (
	"embed"
	"fmt"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"lostair/readings/units"
)

//go:embed starter
var starter embed.FS

// Names of the files that new and demo write.
const (
	systemFile   = "system.yaml"
	readingsFile = "readings.csv"
	baselineFile = "when-sound.csv" // of the demo alone
)

func newNew(s streams) *cobra.Command {
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
		Args:    takes(0, 1, "one folder at most"),
		RunE: func(cmd *cobra.Command, args []string) error {
			u, err := unitsOf(system, units.Metric)
			if err != nil {
				return usageError{cmd, err}
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
			if err := writeFiles(dir, files, force); err != nil {
				return err
			}
			sys, rd := filepath.Join(dir, systemFile), filepath.Join(dir, readingsFile)
			_, err = say(s.out, "Wrote %s and %s. Change them into your shop, then:\n  lostair check %s %s\n  lostair diagnose %s %s\n", sys, rd, sys, rd, sys, rd)
			return err
		},
	}
	cmd.Flags().BoolVar(&force, "force", false, "replace the files if they exist")
	cmd.Flags().StringVar(&from, "from", "", "begin with the runs of a table, a `FILE` with columns such as id, into, size, length, gate, machine, need: lostair help formats lists them")
	cmd.Flags().StringVar(&system, "units", units.Metric.String(), "what a bare number in them means: metric or us")
	return cmd
}

// namedFile is a file to be written.
type namedFile struct {
	name string
	data []byte
}

func starterFiles(u units.System) ([]namedFile, error) {
	return embedded(starter, renames{
		{"starter/system-" + u.String() + ".yaml", systemFile},
		{"starter/readings-" + u.String() + ".csv", readingsFile},
	})
}

// renames is pairs of an embedded file and the name that it gets.
type renames [][2]string

func embedded(from embed.FS, files renames) ([]namedFile, error) {
	var out []namedFile
	for _, f := range files {
		data, err := from.ReadFile(f[0])
		if err != nil {
			return nil, err
		}
		out = append(out, namedFile{f[1], data})
	}
	return out, nil
}

// writeFiles writes all files into a folder, or none: it looks whether all can
// be written first, and takes away those it has made if one fails after all.
func writeFiles(dir string, files []namedFile, force bool) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("the folder %s can't be made: %w", dir, bare(err))
	}
	existed := map[string]bool{}
	for _, f := range files {
		path := filepath.Join(dir, f.name)
		_, exists, err := targetOf(path)
		if err != nil {
			return err
		}
		if exists && !force {
			return fmt.Errorf("%s exists; give another folder, or --force to replace it", path)
		}
		existed[path] = exists
	}
	var made []string
	for _, f := range files {
		path := filepath.Join(dir, f.name)
		err := os.MkdirAll(filepath.Dir(path), 0o755)
		if err == nil {
			err = writeWhole(path, f.data, force)
		}
		if err != nil {
			for _, m := range made {
				os.Remove(m)
			}
			return err
		}
		if !existed[path] {
			made = append(made, path)
		}
	}
	return nil
}
