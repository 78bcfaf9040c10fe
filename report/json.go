package report

import (
	"encoding/json"
	"fmt"
	"io"

	"lostair/report/show"
)

// JSON writes r as one indented object with a line break at its end.
func JSON(w io.Writer, r *Result) error { return show.Encode(w, r) }

// Read reads a result that JSON has written. A result of a later version is an
// error.
func Read(in io.Reader) (*Result, error) {
	var r Result
	if err := json.NewDecoder(in).Decode(&r); err != nil {
		return nil, fmt.Errorf("not a saved result: %w", err)
	}
	if r.Version < 1 || r.Version > Version {
		return nil, fmt.Errorf("a result of version %d; this program reads versions 1 to %d", r.Version, Version)
	}
	return &r, nil
}
