package readings

import (
	"regexp"
	"strings"
	"time"
)

// DateOrder is which of day and month stands first in the dates of a file that
// are written like 3/7/2026 or 7.3.2026.
type DateOrder uint8

// The orders.
const (
	AnyDates   DateOrder = iota // as all rows of a file can be read
	MonthFirst                  // mdy
	DayFirst                    // dmy
)

var orderNames = [...]string{"", "mdy", "dmy"}

// String is the order's short name.
func (o DateOrder) String() string { return orderNames[o] }

// DateOrderNamed is the order of that short name, or false.
func DateOrderNamed(name string) (DateOrder, bool) {
	for i, n := range orderNames {
		if i > 0 && n == name {
			return DateOrder(i), true
		}
	}
	return AnyDates, false
}

// date is a date in ISO form, read in this order; "" if it can't be.
func (o DateOrder) date(text string) string {
	m, d := bothWays(text)
	switch o {
	case MonthFirst:
		return m
	case DayFirst:
		return d
	}
	return ""
}

// twoNumbers is a date of which day and month may stand either way round, as
// people write them on both sides of the ocean; a time may follow.
var twoNumbers = regexp.MustCompile(`^(\d{1,2})([/.-])(\d{1,2})([/.-])(\d{4}|\d{2})(\s.*)?$`)

// bothWays is a date in ISO form read with the month first and with the day
// first; "" where it is none such.
func bothWays(text string) (month, day string) {
	m := twoNumbers.FindStringSubmatch(text)
	if m == nil || m[2] != m[4] {
		return "", ""
	}
	year := m[5]
	if len(year) == 2 {
		year = "20" + year
	}
	return dateOf(year, m[1], m[3]), dateOf(year, m[3], m[1])
}

// dateOf is a date in ISO form; "" if there is none such.
func dateOf(year, month, day string) string {
	d, err := time.Parse("2006-1-2", year+"-"+strings.TrimPrefix(month, "0")+"-"+strings.TrimPrefix(day, "0"))
	if err != nil {
		return ""
	}
	return d.Format(time.DateOnly)
}
