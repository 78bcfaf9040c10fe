package dates

import "time"

// oldest is the first year that is taken for a reading's: a clock that says less has
// lost its battery, and its date would put a survey before all others. Own choice.
const oldest = 2020

// Today is the date of what is read now, or false if the clock can't be right.
func Today(now time.Time) (string, bool) {
	if y := now.Year(); y < oldest || y > 9999 {
		return "", false
	}
	return now.Format(time.DateOnly), true
}
