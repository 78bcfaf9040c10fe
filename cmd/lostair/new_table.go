package main

import (
	"fmt"
	"os"
	"path/filepath"

	"lostair/cmd/internal/bench"
	"lostair/cmd/internal/console"
	"lostair/cmd/internal/disk"
	"lostair/cmd/internal/legend"
	"lostair/cmd/internal/runs"
	"lostair/readings/units"
)

// newFromTable writes a system file that begins with the runs of a table.
func newFromTable(s console.Streams, dir, table string, u units.System, force bool) error {
	data, err := os.ReadFile(table)
	if err != nil {
		return fmt.Errorf("%s can't be read: %w", table, disk.Bare(err))
	}
	list, wrong := runs.Read(data, table)
	if err := wrong.Err(); err != nil {
		return err
	}
	console.Tell(s, wrong)
	f, err := bench.Blank("My shop", u.String())
	if err != nil {
		return err
	}
	f, bad := runs.Onto(f, list, table)
	if err := bad.Err(); err != nil {
		return err
	}
	if err := disk.WriteAll(dir, []disk.File{{Name: systemFile, Data: f.Bytes()}}, force); err != nil {
		return err
	}
	sys := filepath.Join(dir, systemFile)
	_, err = console.Say(s.Out, "Wrote %s with %s. The collector and its fan are still to fill in; this says what else is:\n  lostair check %s\nOr go on in the browser:\n  lostair serve %s\n",
		sys, count(len(list), "run"), sys, dir)
	if err != nil {
		return err
	}
	return offerUsual(s, list, u)
}

// offerUsual says what the machines of a table usually need that have no need there,
// and what was taken for a hood that isn't there.
func offerUsual(s console.Streams, list []runs.Run, u units.System) error {
	bare := 0
	for _, r := range list {
		if r.Machine != "" && r.Hood == "" {
			bare++
		}
	}
	if bare > 0 {
		if _, err := console.Say(s.Out, "%s no hood in the table and got hood: %s, about what a machine's own hood loses (common practice, no source); lostair formats has the usual range\n",
			map[bool]string{true: "1 port has", false: fmt.Sprintf("%d ports have", bare)}[bare == 1], runs.UsualHood); err != nil {
			return err
		}
	}
	stated := map[string]bool{} // by machine
	for _, r := range list {
		stated[r.Machine] = stated[r.Machine] || r.Need != ""
	}
	for _, r := range list {
		if r.Machine == "" || stated[r.Machine] {
			continue
		}
		stated[r.Machine] = true
		if line := legend.UsualLine(r.Machine, 0, u); line != "" {
			if _, err := console.Say(s.Out, "%s %s\n", r.Machine, line); err != nil {
				return err
			}
		}
	}
	return nil
}
