package readings

import (
	"fmt"
	"time"
)

// otherDates are ways of writing a date that can be read in one way only.
var otherDates = [...]string{"2006-1-2", "2006/1/2", "2006.1.2", "20060102", "2 Jan 2006", "2 January 2006", "2. January 2006", "January 2, 2006", "Jan 2, 2006",
	"January 2 2006", "Jan 2 2006", "2-Jan-2006", "2-Jan-06", "2 Jan 06",
	time.RFC3339, "2006-01-02T15:04:05", "2006-01-02T15:04", "2006-01-02 15:04:05", "2006-01-02 15:04"}

func parseDate(text string, order DateOrder) (string, *fault) {
	if text == "" {
		return "", nil
	}
	if _, err := time.Parse(time.DateOnly, text); err == nil {
		return text, nil
	}
	if d := certain(text); d != "" {
		return d, nil
	}
	if d := order.date(text); d != "" {
		return d, nil
	}
	return "", &fault{fmt.Sprintf("%s is not a date in ISO form", quote(text)), "write year-month-day, like 2026-03-02"}
}

// certain is the date, in ISO form, that a text means in whatever order its file has
// day and month; "" if there is none such.
func certain(text string) string {
	for _, layout := range otherDates {
		if d, err := time.Parse(layout, text); err == nil {
			return d.Format(time.DateOnly)
		}
	}
	if month, day := bothWays(text); month == day {
		return month
	}
	return ""
}
