package main

import (
	"fmt"
	"io"
	"os"

	"github.com/spf13/cobra"

	"lostair/cmd/internal/command"
	"lostair/cmd/internal/console"
	"lostair/cmd/internal/disk"
	"lostair/cmd/internal/subjects"
)

func newShow(s console.Streams) *cobra.Command {
	var o command.Output
	var units string
	var plain, all bool
	cmd := &cobra.Command{
		Use:   "show RESULT",
		Short: "Show a saved result again",
		Long: `Show a result that was saved with --format json again, as text or as a page, in
metric or us units: of diagnose, verify, expect, whatif, plan or track; - is
standard input. It needs no other file.`,
		Example: "  lostair diagnose system.yaml readings.csv --format json -o result.json\n  lostair show result.json --units us\n  lostair show result.json --format html -o report.html",
		Args:    command.Takes(1, 1, "one saved result"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := o.Check(cmd, args[0]); err != nil {
				return err
			}
			saved, err := readSaved(s, args[0])
			if err != nil {
				return err
			}
			if _, err := command.UnitsOf(units, 0); err != nil {
				return command.Misuse(cmd, err)
			}
			v := subjects.View{Format: o.Format, Style: o.AllStyle(s, plain, all)}
			return o.Write(s, func(w io.Writer) error { return subjects.ShowSaved(w, args[0], saved, units, v) })
		},
	}
	o.Flags(cmd, "text", "html", "json")
	cmd.Flags().StringVar(&units, "units", "", "show values in metric or us units; left out: those in which it was saved")
	_ = cmd.RegisterFlagCompletionFunc("units", cobra.FixedCompletions([]string{"metric", "us"}, cobra.ShellCompDirectiveNoFileComp))
	command.PlainFlag(cmd, &plain)
	command.AllFlag(cmd, &all)
	return cmd
}

// mostSaved is how large a saved result may be, in bytes: that of the largest
// plant is smaller by far.
const mostSaved = 64 << 20

func readSaved(s console.Streams, file string) ([]byte, error) {
	in := s.In
	if file != "-" {
		f, err := os.Open(file)
		if err != nil {
			return nil, fmt.Errorf("%s can't be read: %w", file, disk.Bare(err))
		}
		defer f.Close()
		in = f
	}
	data, err := io.ReadAll(io.LimitReader(in, mostSaved+1))
	if err != nil {
		return nil, fmt.Errorf("%s can't be read: %w", file, disk.Bare(err))
	}
	if len(data) > mostSaved {
		return nil, fmt.Errorf("%s is larger than %d MB, which no saved result is", file, mostSaved>>20)
	}
	return data, nil
}
