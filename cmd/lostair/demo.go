package main

import (
	"bytes"
	"embed"
	"errors"
	"io"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"lostair/cmd/internal/command"
	"lostair/cmd/internal/console"
	"lostair/cmd/internal/disk"
	"lostair/diagnose/trial"
	"lostair/readings/units"
	"lostair/report"
	"lostair/report/text"
)

//go:embed demo demo-us
var demo embed.FS

// demoFolder is where the demo goes if the user names no place.
const demoFolder = "lostair-demo"

func newDemo(s console.Streams) *cobra.Command {
	var force, plain, all bool
	var ports int
	var seed uint64
	var system string
	cmd := &cobra.Command{
		Use:   "demo [FOLDER]",
		Short: "Write an invented shop with a fault in it, and diagnose it",
		Long: `Write the system file and the readings of an invented shop with a fault in it into
a folder (left out: ` + demoFolder + `), and diagnose it. An earlier survey of the sound
shop is there too, to try --baseline with, and two years of monthly surveys, to try
lostair track with. Files that are there already
and are no longer the demo's are left alone, unless --force is given. With --units
us the shop is built of ducts in whole inches, and read in cfm, fpm and inches of water.

With --ports an invented plant of that many ports is written and diagnosed
instead, with a leak and a blockage somewhere in it and, if it has a filter, that
loaded; what was put in is said at the end. Another --seed gives another plant.`,
		Example: "  lostair demo\n  lostair demo somewhere/else\n  lostair demo --units us\n  lostair demo --ports 300",
		Args:    command.Takes(0, 1, "one folder at most"),
		RunE: func(cmd *cobra.Command, args []string) error {
			dir := demoFolder
			if len(args) > 0 {
				dir = args[0]
			}
			if cmd.Flags().Changed("seed") && !cmd.Flags().Changed("ports") {
				return command.Misuse(cmd, errors.New("--seed goes with --ports"))
			}
			if cmd.Flags().Changed("units") && cmd.Flags().Changed("ports") {
				return command.Misuse(cmd, errors.New("--units chooses a shop; an invented plant of --ports is metric"))
			}
			in, err := command.UnitsOf(system, units.Metric)
			if err != nil {
				return command.Misuse(cmd, err)
			}
			shop, err := command.InTime(cmd.Context(), func() (demoShop, error) {
				if cmd.Flags().Changed("ports") {
					return plantShop(ports, seed)
				}
				files, err := demoFiles(in)
				return demoShop{files, nil}, err
			})
			if cause := cmd.Context().Err(); cause != nil {
				return cause
			}
			if err != nil {
				return command.Misuse(cmd, err)
			}
			if err := writeDemo(dir, shop.files, force); err != nil {
				return err
			}
			sys, rd := filepath.Join(dir, systemFile), filepath.Join(dir, readingsFile)
			if _, err := console.Say(s.Out, "The demo is in %s. This is what it gives:\n  lostair diagnose %s %s\n\n", dir, sys, rd); err != nil {
				return err
			}
			l, err := command.Load(s, sys, []string{rd}, nil)
			if err != nil {
				return err
			}
			results, err := diagnoseAll(cmd.Context(), s, l)
			if len(results) == 0 {
				return err
			}
			var o command.Output
			err = o.End(s, err, func(w io.Writer) error {
				return text.Write(w, report.From(results[0], l.Sys.Units), console.AllStyle(s, plain, all))
			})
			if err != nil || shop.plant == nil {
				return err
			}
			return sayTruth(s.Out, shop.plant, results[0])
		},
	}
	cmd.Flags().BoolVar(&force, "force", false, "replace files that differ from the demo's")
	cmd.Flags().StringVar(&system, "units", units.Metric.String(), "the shop's: metric or us")
	cmd.Flags().IntVar(&ports, "ports", 0, "invent a plant of this many ports")
	cmd.Flags().Uint64Var(&seed, "seed", plantDefault, "of --ports: another number, another plant")
	command.PlainFlag(cmd, &plain)
	command.AllFlag(cmd, &all)
	command.TimeoutFlag(s, cmd)
	return cmd
}

// demoShop is what the demo writes.
type demoShop struct {
	files []disk.File
	plant *trial.Case // nil of the embedded shop
}

// plantShop is an invented plant.
func plantShop(ports int, seed uint64) (demoShop, error) {
	c, err := inventedPlant(ports, seed)
	if err != nil {
		return demoShop{}, err
	}
	return demoShop{plantFiles(c), c}, nil
}

// demoIn is where the demo shop of a system of units is embedded.
func demoIn(u units.System) string {
	if u == units.US {
		return "demo-us"
	}
	return "demo"
}

// demoFiles are the shop's in a system of units.
func demoFiles(u units.System) ([]disk.File, error) {
	in := demoIn(u)
	var all renames
	for _, f := range []string{systemFile, readingsFile, baselineFile} {
		all = append(all, [2]string{in + "/" + f, f})
	}
	history, err := demo.ReadDir(in + "/" + historyFolder)
	if err != nil {
		return nil, err
	}
	for _, e := range history {
		all = append(all, [2]string{in + "/" + historyFolder + "/" + e.Name(), filepath.Join(historyFolder, e.Name())})
	}
	return embedded(demo, all)
}

// historyFolder holds two years of monthly surveys of the demo shop.
const historyFolder = "history"

// writeDemo writes the demo's files but those that are there as they should be.
func writeDemo(dir string, files []disk.File, force bool) error {
	var missing []disk.File
	for _, f := range files {
		if have, err := os.ReadFile(filepath.Join(dir, f.Name)); err != nil || !bytes.Equal(have, f.Data) {
			missing = append(missing, f)
		}
	}
	return disk.WriteAll(dir, missing, force)
}
