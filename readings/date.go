package readings

import (
	"fmt"
	"regexp"
	"strings"
	"time"
)

// otherDates are ways of writing a date that can be read in one way only.
var otherDates = [...]string{"2006-1-2", "2006/1/2", "2006.1.2", "20060102", "2 Jan 2006", "2 January 2006", "January 2, 2006", "Jan 2, 2006",
	time.RFC3339, "2006-01-02T15:04:05", "2006-01-02T15:04", "2006-01-02 15:04:05", "2006-01-02 15:04"}

// twoNumbers is a date of which day and month may stand either way round, as
// people write them on both sides of the ocean; a time may follow.
var twoNumbers = regexp.MustCompile(`^(\d{1,2})([/.-])(\d{1,2})([/.-])(\d{4}|\d{2})(\s.*)?$`)

func parseDate(text string, order DateOrder) (string, *fault) {
	if text == "" {
		return "", nil
	}
	if _, err := time.Parse(time.DateOnly, text); err == nil {
		return text, nil
	}
	if d := order.date(text); d != "" {
		return d, nil
	}
	f := &fault{fmt.Sprintf("%s is not a date in ISO form", quote(text)), "write year-month-day, like 2026-03-02"}
	if meant := datesMeant(text); len(meant) > 0 {
		f.do = "write " + strings.Join(meant, " or ")
	}
	return "", f
}

// datesMeant are the dates, in ISO form, that a text may mean.
func datesMeant(text string) []string {
	for _, layout := range otherDates {
		if d, err := time.Parse(layout, text); err == nil {
			return []string{d.Format(time.DateOnly)}
		}
	}
	m := twoNumbers.FindStringSubmatch(text)
	if m == nil || m[2] != m[4] {
		return nil
	}
	year := m[5]
	if len(year) == 2 {
		year = "20" + year
	}
	monthFirst, dayFirst := dateOf(year, m[1], m[3]), dateOf(year, m[3], m[1])
	switch {
	case monthFirst == "" && dayFirst == "":
		return nil
	case dayFirst == "" || dayFirst == monthFirst:
		return []string{monthFirst}
	case monthFirst == "":
		return []string{dayFirst}
	}
	return []string{monthFirst + " if the month stands first", dayFirst + " if the day does"}
}

// dateOf is a date in ISO form; "" if there is none such.
func dateOf(year, month, day string) string {
	d, err := time.Parse("2006-1-2", year+"-"+strings.TrimPrefix(month, "0")+"-"+strings.TrimPrefix(day, "0"))
	if err != nil {
		return ""
	}
	return d.Format(time.DateOnly)
}
