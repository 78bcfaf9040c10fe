package main

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"slices"

	"lostair/cmd/internal/disk"
	"lostair/diagnose"
	"lostair/diagnose/fault"
	"lostair/diagnose/trial"
)

// Bounds of an invented plant.
const (
	plantMost    = 1000
	plantEach    = 5 // readings a port
	plantDefault = 7 // seed
)

// inventedPlant makes up a plant of so many ports with faults in it, and a
// survey of it. The same numbers give the same files.
func inventedPlant(ports int, seed uint64) (*trial.Case, error) {
	if ports < 1 || ports > plantMost {
		return nil, fmt.Errorf("--ports %d: from 1 to %d", ports, plantMost)
	}
	c, err := trial.FaultyPlant(seed, ports, plantEach*ports)
	if err != nil {
		return nil, fmt.Errorf("no such plant; try another --seed: %w", err)
	}
	name := "Invented plant of 1 port"
	if ports > 1 {
		name = fmt.Sprintf("Invented plant of %d ports", ports)
	}
	c.SystemYAML = bytes.Replace(c.SystemYAML, []byte("name: "+c.System.Name+"\n"), []byte("name: "+name+"\n"), 1)
	c.System.Name = name
	return c, nil
}

func plantFiles(c *trial.Case) []disk.File {
	return []disk.File{{Name: systemFile, Data: c.SystemYAML}, {Name: readingsFile, Data: c.SurveyCSV}}
}

// found says in a word what a diagnosis made of a fault.
func found(r *diagnose.Result, f trial.Fault) string {
	is := func(c fault.Candidate) bool { return c.Kind.String() == f.Kind && c.Where == f.Where }
	for _, x := range r.Faults {
		if is(x.Candidate) {
			return "found"
		}
		if slices.ContainsFunc(x.Alike, is) {
			return "found among what looks the same"
		}
	}
	return "not found"
}

// sayTruth tells what was put into an invented plant, and whether it was found.
func sayTruth(w io.Writer, c *trial.Case, r *diagnose.Result) error {
	if _, err := fmt.Fprint(w, "\nWhat was put in\n---------------\n"); err != nil {
		return err
	}
	for _, f := range c.Truth.Faults {
		if !f.Main() {
			continue
		}
		seen := fmt.Sprintf("it moves the readings by %.0f times the errors of the instruments (what is as built comes on top)", math.Round(f.SNR))
		if !f.Observable {
			seen = "too small for these readings to show"
		}
		if _, err := fmt.Fprintf(w, "* %s at %s: %s; %s\n", f.Kind, f.Where, found(r, f), seen); err != nil {
			return err
		}
	}
	return nil
}
