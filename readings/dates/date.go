package dates

import "time"

// otherDates are ways of writing a date that can be read in one way only.
var otherDates = [...]string{"2006-1-2", "2006/1/2", "2006.1.2", "20060102", "2 Jan 2006", "2 January 2006", "2. January 2006", "January 2, 2006", "Jan 2, 2006",
	"January 2 2006", "Jan 2 2006", "2-Jan-2006", "2-Jan-06", "2 Jan 06",
	time.RFC3339, "2006-01-02T15:04:05", "2006-01-02T15:04", "2006-01-02 15:04:05", "2006-01-02 15:04"}

// Parse is the date, in ISO form, that a text means, read in this order if day and
// month may stand either way round; "" if there is none such.
func Parse(text string, order Order) string {
	if _, err := time.Parse(time.DateOnly, text); err == nil {
		return text
	}
	if d := certain(text); d != "" {
		return d
	}
	return order.date(text)
}

// certain is the date, in ISO form, that a text means in whatever order its file has
// day and month; "" if there is none such.
func certain(text string) string {
	for _, layout := range otherDates {
		if d, err := time.Parse(layout, text); err == nil {
			return d.Format(time.DateOnly)
		}
	}
	if month, day := BothWays(text); month == day {
		return month
	}
	return ""
}
