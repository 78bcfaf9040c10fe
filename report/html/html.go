// Package html shows a diagnosis as one self-contained page, or its drawing alone.
package html

import (
	"io"

	"lostair/diagnose"
	"lostair/readings/units"
	"lostair/report/pages"
	"lostair/report/show"
)

// Write shows a diagnosis as one self-contained page, in the units of u: the
// verdict, the duct tree with the suspects on it, what to do, flow at the
// ports, static pressure on the way to the fan, what to read next, every
// reading, and what the result rests on.
func Write(w io.Writer, d *diagnose.Result, u units.System) error {
	t, err := pages.ParsePage("report.html", "drawing.html")
	if err != nil {
		return err
	}
	return show.Execute(w, t, newHTMLPage(d, u))
}
