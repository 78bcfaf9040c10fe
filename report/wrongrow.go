package report

import (
	"lostair/diagnose/track"
	"lostair/readings/units"
	"lostair/report/show"
)

// WrongRow is a row that fits nothing else that was read.
type WrongRow struct {
	Row
	Fits float64 `json:"fits"` // value that would fit, in the row's unit
	Why  string  `json:"why"`
}

// WrongRowOf is a wrong row of a file, in the unit that it was written in.
func WrongRowOf(file string, w track.WrongRow) WrongRow {
	out := WrongRow{Row: Row{File: file, Line: w.Row.Line, Open: w.Row.Open.String(), Point: w.Row.Point, Quantity: w.Row.Quantity.String(), Value: w.Row.Typed, Unit: w.Row.Unit}, Why: show.SlipWords(w.Reason)}
	if v, err := units.Convert(w.Fits, w.Row.Quantity.Dimension(), w.Row.Unit); err == nil {
		out.Fits = show.Significant(show.Finite(v))
	}
	return out
}
