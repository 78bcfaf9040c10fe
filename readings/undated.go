package readings

import (
	"cmp"
	"fmt"

	"lostair/readings/dates"
)

// parseDate reads the date of a row; none is "".
func parseDate(text string, order dates.Order) (string, *fault) {
	if text == "" {
		return "", nil
	}
	if d := dates.Parse(text, order); d != "" {
		return d, nil
	}
	return "", &fault{fmt.Sprintf("%s is not a date in ISO form", quote(text)), "write year-month-day, like 2026-03-02"}
}

// orderIn is the order in which the dates of the rows are written, as far as they tell.
func orderIn(rows []written) dates.Order {
	var texts []string
	for i := range rows {
		texts = append(texts, rows[i].Date)
	}
	return dates.OrderOf(texts)
}

// dateless reports a date that can't be read; one that is a date in some order waits
// for the end, since all rows of one survey are dated alike.
func (l *loader) dateless(at place, text string, bad *fault) {
	switch m, d := dates.BothWays(text); {
	case bad == nil:
	case m == "" && d == "":
		l.report(at.line, at.columns.Date, bad)
	default:
		l.noDate = append(l.noDate, noDate{at.line, at.columns.Date, text, m, d})
	}
}

// undated says it once of a file.
func (l *loader) undated() {
	if len(l.noDate) == 0 {
		return
	}
	x := &l.noDate[0]
	what, do := fmt.Sprintf("%s is not a date in ISO form", quote(x.text)), ""
	switch a, b := l.onlyOneWay(); {
	case l.dates != dates.Any:
		first, other := "month", dates.DayFirst
		if l.dates == dates.DayFirst {
			first, other = "day", dates.MonthFirst
		}
		what = fmt.Sprintf("%s is no date with the %s first", quote(x.text), first)
		do = fmt.Sprintf("write %s, or --dates %s if that is so for all", cmp.Or(x.month, x.day), other)
	case a != nil && b != nil:
		l.fail(a.line, a.column, fmt.Sprintf("the dates of this file stand in two orders: %s has the month first, %s the day", quote(a.text), quote(b.text)),
			"write all as year-month-day, like "+a.month)
		return
	default:
		do = fmt.Sprintf("write %s if the month stands first or %s if the day does; or say the order of all once, --dates mdy or --dates dmy", x.month, x.day)
	}
	switch n := len(l.noDate) - 1; n {
	case 0:
	case 1:
		what += ", nor is that of 1 more row"
	default:
		what += fmt.Sprintf(", nor are those of %d more rows", n)
	}
	l.fail(x.line, x.column, what, do)
}

// onlyOneWay is the first date that must have its month first, and the first that must
// have its day first; nil: there is none.
func (l *loader) onlyOneWay() (month, day *noDate) {
	for i := range l.noDate {
		x := &l.noDate[i]
		if month == nil && x.day == "" {
			month = x
		}
		if day == nil && x.month == "" {
			day = x
		}
	}
	return month, day
}
