package dates

import (
	"regexp"
	"strings"
	"time"
)

// Order is which of day and month stands first in the dates of a file that
// are written like 3/7/2026 or 7.3.2026.
type Order uint8

// The orders.
const (
	Any        Order = iota // as all rows of a file can be read
	MonthFirst              // mdy
	DayFirst                // dmy
)

var orderNames = [...]string{"", "mdy", "dmy"}

// String is the order's short name.
func (o Order) String() string { return orderNames[o] }

// OrderNamed is the order of that short name, or false.
func OrderNamed(name string) (Order, bool) {
	for i, n := range orderNames {
		if i > 0 && n == name {
			return Order(i), true
		}
	}
	return Any, false
}

// OrderOf is the only order in which all such dates among the texts are dates;
// Any if there is none or both will do.
func OrderOf(texts []string) Order {
	month, day, same := true, true, true
	for _, text := range texts {
		m, d := BothWays(text)
		if m == "" && d == "" {
			continue
		}
		same = same && m == d
		month, day = month && m != "", day && d != ""
	}
	switch {
	case month && (!day || same): // 3/3/2026 is the same day either way
		return MonthFirst
	case day && !month:
		return DayFirst
	}
	return Any
}

// date is a date in ISO form, read in this order; "" if it can't be.
func (o Order) date(text string) string {
	m, d := BothWays(text)
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

// BothWays is a date in ISO form read with the month first and with the day
// first; "" where it is none such.
func BothWays(text string) (month, day string) {
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
