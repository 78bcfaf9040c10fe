package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"lostair/cmd/internal/console"
	"lostair/cmd/internal/disk"
	"lostair/readings/workbook"
	"lostair/report/show"
)

// output is where a command's result goes, by its flags.
type output struct {
	file    string
	format  string
	force   bool
	formats []string
}

// flags adds --format, --output and --force; the first format is the default.
func (o *output) flags(cmd *cobra.Command, formats ...string) {
	o.formats = formats
	cmd.Flags().StringVar(&o.format, "format", formats[0], "how to show it: "+orList(formats)+"; left out: as the name of the output file ends")
	cmd.Flags().StringVarP(&o.file, "output", "o", "", "write it to this file; none or -: onto the screen")
	cmd.Flags().BoolVar(&o.force, "force", false, "replace the output file if it exists")
	_ = cmd.RegisterFlagCompletionFunc("format", cobra.FixedCompletions(formats, cobra.ShellCompDirectiveNoFileComp))
}

// check refuses an unknown format, and an output that would destroy an input.
// It is called before any work is done.
func (o *output) check(cmd *cobra.Command, inputs ...string) error {
	if end := strings.TrimPrefix(strings.ToLower(filepath.Ext(o.file)), "."); !cmd.Flags().Changed("format") && slices.Contains(o.formats, end) {
		o.format = end
	}
	if !slices.Contains(o.formats, o.format) {
		return usageError{cmd, fmt.Errorf("there is no format %q; use %s", o.format, orList(o.formats))}
	}
	if o.file == "-" { // as a reading is taken from standard input
		o.file = ""
	}
	if o.format == "xlsx" && !workbook.Written(o.file) {
		return usageError{cmd, errors.New("a workbook goes into a file of its own: name one that ends in .xlsx with -o")}
	}
	if o.file == "" {
		return nil
	}
	if workbook.Named(o.file) && o.format != "xlsx" {
		return fmt.Errorf("%s is a workbook by its name, and none is written here; give another name%s", o.file, o.orWorkbook())
	}
	for _, in := range inputs {
		if disk.SameFile(in, o.file) {
			return fmt.Errorf("%s is read and can't be the output too; give another name", o.file)
		}
	}
	_, exists, err := disk.TargetOf(o.file)
	if err == nil && exists && !o.force {
		err = disk.ExistsError(o.file)
	}
	return err
}

// orWorkbook says where a workbook could be had.
func (o *output) orWorkbook() string {
	if slices.Contains(o.formats, "xlsx") {
		return ", or one that ends in .xlsx and no other --format"
	}
	return ""
}

// write lets show write the result, and then puts it where it belongs.
func (o *output) write(s console.Streams, show func(io.Writer) error) error {
	var b bytes.Buffer
	if err := show(&b); err != nil {
		return err
	}
	if o.file != "" {
		return disk.WriteWhole(o.file, b.Bytes(), o.force)
	}
	if s.OutWidth > 0 && (o.format == "html" || o.format == "svg") {
		return fmt.Errorf("a page is nothing to read on a terminal: name a file with -o")
	}
	_, err := s.Out.Write(b.Bytes())
	return err
}

// style is the terminal's, or that of a file without colour.
func (o *output) style(s console.Streams, plain bool) show.Style {
	if o.file != "" {
		s.OutWidth = 0
	}
	return console.StyleFor(s, plain)
}

// allStyle is style with everything, or the first things alone.
func (o *output) allStyle(s console.Streams, plain, all bool) show.Style {
	st := o.style(s, plain)
	st.All = all
	return st
}

// soFar writes what is known of work that was stopped. It doesn't replace a file,
// which may hold a whole result.
func (o *output) soFar(s console.Streams, cause error, show func(io.Writer) error) error {
	if o.file != "" {
		if _, exists, err := disk.TargetOf(o.file); err == nil && exists {
			return stoppedError{cause: cause, then: o.file + " was left as it is"}
		}
	}
	if err := o.write(s, show); err != nil {
		return err
	}
	if o.file != "" {
		return stoppedError{cause, "what is known so far is in " + o.file, true}
	}
	return stoppedError{cause, "that is what is known so far", true}
}

// end writes a result, or what is known so far if the work was stopped.
func (o *output) end(s console.Streams, cause error, show func(io.Writer) error) error {
	if cause != nil {
		return o.soFar(s, cause, show)
	}
	return o.write(s, show)
}

// orList is "a, b or c".
func orList(s []string) string {
	out := ""
	for i, x := range s {
		switch {
		case i == 0:
		case i == len(s)-1:
			out += " or "
		default:
			out += ", "
		}
		out += x
	}
	return out
}
