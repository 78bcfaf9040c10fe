package sheet

import (
	"fmt"
	"io"
	"math"
	"regexp"
	"strings"

	"lostair/diagnose"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report/show"
)

// CSV writes a round of readings as a readings file that lacks nothing
// but its values: filled in, it goes straight into a diagnosis. The note of each row
// has its stop's number on the sheet. A number in it
// is in the units of u.
func CSV(w io.Writer, sh *Sheet, u units.System) error {
	return readings.Write(w, blank(sh, u), u)
}

// Workbook writes what CSV writes as a workbook.
func Workbook(w io.Writer, sh *Sheet, u units.System) error {
	return readings.WriteWorkbook(w, blank(sh, u), u)
}

// blank are the rows of a round without their values.
func blank(sh *Sheet, u units.System) []readings.Row {
	rows := make([]readings.Row, len(sh.Stops))
	for i, x := range sh.Stops {
		rows[i] = x.Row
		rows[i].Value, rows[i].Typed, rows[i].Unit = math.NaN(), "", x.Quantity.Symbol(u)
		if diagnose.TooFast(x.Quantity, x.Expected.Value) && x.Note == "" {
			rows[i].Note = show.FastNote
		}
		rows[i].Note = strings.TrimSuffix(fmt.Sprintf("stop %d; %s", i+1, stopNumber.ReplaceAllString(rows[i].Note, "")), "; ")
		rows[i].Date = "" // that of the round before, where the plan is one
	}
	for i, x := range sh.Looks {
		x.Value, x.Typed, x.Date = math.NaN(), "", ""
		x.Note = fmt.Sprintf("stop %d", len(sh.Stops)+i+1)
		rows = append(rows, x)
	}
	return rows
}

// stopNumber is the number that a stop had on the sheet before, where the plan is one.
var stopNumber = regexp.MustCompile(`^stop \d+(; |$)`)
