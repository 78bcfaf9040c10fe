package report

import (
	"fmt"

	"lostair/report/show"
)

// NotFinished is what every result says that was stopped before its end.
const NotFinished = "Stopped before the work was finished, so nothing is decided."

// unfinishedWords say so, and what is likeliest so far.
func unfinishedWords(r *Result) string {
	for _, c := range r.Candidates {
		if c.Kind != Undersized && c.Kind != ReadingWrong && c.Probability >= 0.05 {
			return fmt.Sprintf("%s Likeliest so far: %s (%s).", NotFinished, c.Name, show.Percent(c.Probability))
		}
	}
	return NotFinished
}
