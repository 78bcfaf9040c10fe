package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"

	"github.com/spf13/cobra"

	"lostair/report"
	"lostair/report/changed"
	"lostair/report/expected"
	"lostair/report/planned"
	"lostair/report/repaired"
	"lostair/report/show"
	"lostair/report/tracked"
	"lostair/report/verified"
)

func newShow(s streams) *cobra.Command {
	var o output
	var plain, all bool
	cmd := &cobra.Command{
		Use:   "show RESULT",
		Short: "Show a saved result again",
		Long: `Show a result that was saved with --format json again, as text or as a page: of
diagnose, verify, expect, whatif, plan or track; - is standard input. A page with
drawings of ducts needs the system file: make it with diagnose or verify.`,
		Example: "  lostair diagnose system.yaml readings.csv --format json -o result.json\n  lostair show result.json --all",
		Args:    takes(1, 1, "one saved result"),
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := o.check(cmd, args[0]); err != nil {
				return err
			}
			saved, err := readSaved(s, args[0])
			if err != nil {
				return err
			}
			st := o.allStyle(s, plain, all)
			return o.write(s, func(w io.Writer) error { return showSaved(w, args[0], saved, o.format, st) })
		},
	}
	o.flags(cmd, "text", "html", "json")
	plainFlag(cmd, &plain)
	allFlag(cmd, &all)
	return cmd
}

// mostSaved is how large a saved result may be, in bytes: that of the largest
// plant is smaller by far.
const mostSaved = 64 << 20

func readSaved(s streams, file string) ([]byte, error) {
	in := s.in
	if file != "-" {
		f, err := os.Open(file)
		if err != nil {
			return nil, fmt.Errorf("%s can't be read: %w", file, bare(err))
		}
		defer f.Close()
		in = f
	}
	data, err := io.ReadAll(io.LimitReader(in, mostSaved+1))
	if err != nil {
		return nil, fmt.Errorf("%s can't be read: %w", file, bare(err))
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
	show func(w io.Writer, data []byte, format string, st show.Style) error
}{
	{"improved", savedAs(repaired.Text, repaired.JSON, repaired.HTML)},
	{"series", savedAs(tracked.Text, tracked.JSON, tracked.HTML)},
	{"lines", savedAs(verified.Text, verified.JSON, nil)},
	{"changes", savedAs(changed.Text, changed.JSON, nil)},
	{"stops", savedAs(planned.Text, planned.JSON, nil)},
	{"candidates", savedAs(report.Text, report.JSON, nil)},
	{"settings", savedAs(expected.Text, expected.JSON, nil)},
}

// errNoPage is the answer where a page needs more than the result holds.
var errNoPage = errors.New("a page of this kind of result needs its files; make it with the command that made the result, and --format html")

// savedAs shows one kind of result.
func savedAs[T any](text func(io.Writer, *T, show.Style) error, asJSON func(io.Writer, *T) error, html func(io.Writer, *T) error) func(io.Writer, []byte, string, show.Style) error {
	return func(w io.Writer, data []byte, format string, st show.Style) error {
		var v T
		if err := json.Unmarshal(data, &v); err != nil {
			return plainJSON(err)
		}
		switch {
		case format == "json":
			return asJSON(w, &v)
		case format == "text":
			return text(w, &v, st)
		case html == nil:
			return errNoPage
		}
		return html(w, &v)
	}
}

// plainJSON says what is wrong with JSON without Go's words for it.
func plainJSON(err error) error {
	var other *json.UnmarshalTypeError
	if errors.As(err, &other) {
		where := "it"
		if other.Field != "" {
			where = "its " + other.Field
		}
		return fmt.Errorf("%s holds a value of another kind (%s)", where, other.Value)
	}
	return err
}

func showSaved(w io.Writer, file string, data []byte, format string, st show.Style) error {
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
			if err := k.show(w, data, format, st); err != nil {
				return fmt.Errorf("%s: %w", file, err)
			}
			return nil
		}
	}
	return fmt.Errorf("%s holds no kind of result that is known", file)
}
