package html

import (
	"strconv"

	"lostair/report"
)

// found is a fault in the answer at the top of the page.
type found struct{ Number, Words, Shares string }

// mostFound is how many faults stand at the top.
const mostFound = 3

func foundOf(r *report.Result) []found {
	var out []found
	main, _, _ := report.Sorted(r.Faults)
	for i, w := range r.Answer.Where[:min(len(r.Answer.Where), mostFound)] {
		x := found{Number: strconv.Itoa(i + 1), Words: w}
		if len(main[i].Alike) > 0 {
			x.Shares = main[i].Shared()
		}
		out = append(out, x)
	}
	return out
}
