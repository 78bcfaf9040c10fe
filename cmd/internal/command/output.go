package command

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
	"lostair/readings/problem"
	"lostair/readings/workbook"
	"lostair/report/show"
)

// Output is where a command's result goes, by its flags.
type Output struct {
	File    string
	Format  string
	force   bool
	formats []string
}

// Flags adds --format, --output and --force; the first format is the default.
func (o *Output) Flags(cmd *cobra.Command, formats ...string) {
	o.formats = formats
	cmd.Flags().StringVar(&o.Format, "format", formats[0], "how to show it: "+problem.OrList(formats)+"; left out: as the name of the output file ends")
	cmd.Flags().StringVarP(&o.File, "output", "o", "", "write it to this file; none or -: onto the screen")
	cmd.Flags().BoolVar(&o.force, "force", false, "replace the output file if it exists")
	_ = cmd.RegisterFlagCompletionFunc("format", cobra.FixedCompletions(formats, cobra.ShellCompDirectiveNoFileComp))
}

// FileFlags adds --output and --force, for what goes into a file alone and has no formats.
func (o *Output) FileFlags(cmd *cobra.Command) {
	o.formats = []string{""}
	cmd.Flags().StringVarP(&o.File, "output", "o", "", "write it to this file")
	cmd.Flags().BoolVar(&o.force, "force", false, "replace the output file if it exists")
}

// Check refuses an unknown format, and an output that would destroy an input.
// It is called before any work is done.
func (o *Output) Check(cmd *cobra.Command, inputs ...string) error {
	if end := strings.TrimPrefix(strings.ToLower(filepath.Ext(o.File)), "."); !cmd.Flags().Changed("format") && slices.Contains(o.formats, end) {
		o.Format = end
	}
	if !slices.Contains(o.formats, o.Format) {
		return Misuse(cmd, fmt.Errorf("there is no format %q; use %s", o.Format, problem.OrList(o.formats)))
	}
	if o.File == "-" { // as a reading is taken from standard input
		o.File = ""
	}
	if o.Format == "xlsx" && !workbook.Written(o.File) {
		return Misuse(cmd, errors.New("a workbook goes into a file of its own: name one that ends in .xlsx with -o"))
	}
	if o.File == "" {
		return nil
	}
	if workbook.Named(o.File) && o.Format != "xlsx" {
		return fmt.Errorf("%s is a workbook by its name, and none is written here; give another name%s", o.File, o.orWorkbook())
	}
	for _, in := range inputs {
		if disk.SameFile(in, o.File) {
			return fmt.Errorf("%s is read and can't be the output too; give another name", o.File)
		}
	}
	_, exists, err := disk.TargetOf(o.File)
	if err == nil && exists && !o.force {
		err = disk.ExistsError(o.File)
	}
	return err
}

// orWorkbook says where a workbook could be had.
func (o *Output) orWorkbook() string {
	if slices.Contains(o.formats, "xlsx") {
		return ", or one that ends in .xlsx and no other --format"
	}
	return ""
}

// Write lets show write the result, and then puts it where it belongs.
func (o *Output) Write(s console.Streams, show func(io.Writer) error) error {
	var b bytes.Buffer
	if err := show(&b); err != nil {
		return err
	}
	if o.File != "" {
		return disk.WriteWhole(o.File, b.Bytes(), o.force)
	}
	if s.OutWidth > 0 && (o.Format == "html" || o.Format == "svg") {
		return fmt.Errorf("a page is nothing to read on a terminal: name a file with -o")
	}
	_, err := s.Out.Write(b.Bytes())
	return err
}

// Style is the terminal's, or that of a file without colour.
func (o *Output) Style(s console.Streams, plain bool) show.Style {
	if o.File != "" {
		s.OutWidth = 0
	}
	return console.StyleFor(s, plain)
}

// AllStyle is Style with everything, or the first things alone.
func (o *Output) AllStyle(s console.Streams, plain, all bool) show.Style {
	st := o.Style(s, plain)
	st.All = all
	return st
}

// soFar writes what is known of work that was stopped. It doesn't replace a file,
// which may hold a whole result.
func (o *Output) soFar(s console.Streams, cause error, show func(io.Writer) error) error {
	if o.File != "" {
		if _, exists, err := disk.TargetOf(o.File); err == nil && exists {
			return StoppedError{Cause: cause, Then: o.File + " was left as it is"}
		}
	}
	if err := o.Write(s, show); err != nil {
		return err
	}
	if o.File != "" {
		return StoppedError{cause, "what is known so far is in " + o.File, true}
	}
	return StoppedError{cause, "that is what is known so far", true}
}

// End writes a result, or what is known so far if the work was stopped.
func (o *Output) End(s console.Streams, cause error, show func(io.Writer) error) error {
	if cause != nil {
		return o.soFar(s, cause, show)
	}
	return o.Write(s, show)
}
