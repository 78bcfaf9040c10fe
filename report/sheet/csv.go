package sheet

import (
	"io"
	"math"

	"lostair/diagnose"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report/show"
)

// CSV writes a round of readings as a readings file that lacks nothing
// but its values: filled in, it goes straight into a diagnosis. A number in it
// is in the units of u.
func CSV(w io.Writer, sh *Sheet, u units.System) error {
	rows := make([]readings.Row, len(sh.Stops))
	for i, x := range sh.Stops {
		rows[i] = x.Row
		rows[i].Value, rows[i].Typed, rows[i].Unit = math.NaN(), "", x.Quantity.Dimension().Symbol(u)
		if diagnose.TooFast(x.Quantity, x.Expected.Value) && x.Note == "" {
			rows[i].Note = show.FastNote
		}
		rows[i].Date = "" // that of the round before, where the plan is one
	}
	return readings.Write(w, rows, u)
}
