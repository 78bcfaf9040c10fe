package main

import (
	"encoding/json"
	"errors"
	"io"
	"slices"

	"github.com/spf13/cobra"

	"lostair/cmd/internal/command"
	"lostair/readings/problem"
	"lostair/report"
)

// wantsJSON is whether the command was to give JSON, as far as its arguments
// could be read.
func wantsJSON(cmd *cobra.Command, args []string) bool {
	if f := cmd.Flags().Lookup("format"); f != nil && f.Value.String() == "json" {
		return true
	}
	i := slices.Index(args, "--format")
	return i >= 0 && i+1 < len(args) && args[i+1] == "json" || slices.Contains(args, "--format=json")
}

// writeErrors writes the errors as JSON in place of the result. Where even that
// can't be written nobody is left to be told.
func writeErrors(w io.Writer, err error) {
	out := report.Errors{Errors: []report.Error{}}
	var list problem.List
	var early command.StoppedError
	out.Unfinished = errors.As(err, &early)
	if errors.As(err, &list) {
		for _, p := range list.Errors() {
			out.Errors = append(out.Errors, report.Error{File: p.File, Sheet: p.Sheet, Line: p.Line, Column: p.Column, What: p.What, Do: p.Do})
		}
	} else {
		out.Errors = append(out.Errors, report.Error{What: err.Error(), Do: doFor(err)})
	}
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	_ = e.Encode(out)
}

// doFor is what to do about an error that is in no file.
func doFor(err error) string {
	var usage command.UsageError
	if errors.As(err, &usage) {
		return "see " + usage.Cmd.CommandPath() + " --help"
	}
	return ""
}
