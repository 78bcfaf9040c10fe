package show

import (
	"encoding/json"
	"io"
)

// Encode writes JSON as all of ours is written. Errors are those of w and of the encoder.
func Encode(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(v)
}
