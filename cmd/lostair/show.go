package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"os"

	"github.com/spf13/cobra"

	"lostair/cmd/internal/command"
	"lostair/cmd/internal/console"
	"lostair/cmd/internal/disk"
	"lostair/report"
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
			v := view{format: o.Format, style: o.AllStyle(s, plain, all)}
			return o.Write(s, func(w io.Writer) error { return showSaved(w, args[0], saved, units, v) })
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

// savedKinds tell the kinds of result apart by a key that only one has. A
// comparison of repair is looked for before a history, and both before a
// diagnosis, whose keys others have too.
var savedKinds = []struct {
	key  string
	show func(w io.Writer, data []byte, units string, v view) error
}{
	{"improved", compared.again},
	{"series", followed.again},
	{"lines", checked.again},
	{"changes", altered.again},
	{"stops", rounds.again},
	{"candidates", diagnosed.again},
	{"settings", foreseen.again},
}

func showSaved(w io.Writer, file string, data []byte, units string, v view) error {
	var keys map[string]json.RawMessage
	if err := json.Unmarshal(bytes.TrimSpace(data), &keys); err != nil {
		return fmt.Errorf("%s is no saved result of one survey: %w", file, plainJSON(err))
	}
	var version int
	if err := json.Unmarshal(keys["version"], &version); err != nil || version < 1 || version > report.Version {
		return fmt.Errorf("%s is no saved result that this program reads; it reads versions 1 to %d", file, report.Version)
	}
	for _, k := range savedKinds {
		if _, ok := keys[k.key]; ok {
			if err := k.show(w, data, units, v); err != nil {
				return fmt.Errorf("%s: %w", file, err)
			}
			return nil
		}
	}
	return fmt.Errorf("%s holds no kind of result that is known", file)
}
