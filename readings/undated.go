package readings

import "fmt"

// noDate is a date that can be read two ways, and where it stands.
type noDate struct {
	line, column int
	fault        fault
}

// dateless reports a date that can't be read; one that can be read two ways waits
// for the end, since all rows of one survey are dated alike.
func (l *loader) dateless(at place, text string, bad *fault) {
	if m, d := bothWays(text); bad != nil && (m == "" || d == "" || m == d) {
		l.report(at.line, at.columns.Date, bad)
	} else if bad != nil {
		l.noDate = append(l.noDate, noDate{at.line, at.columns.Date, *bad})
	}
}

// undated says it once of a file.
func (l *loader) undated() {
	if len(l.noDate) == 0 {
		return
	}
	x := l.noDate[0]
	what := x.fault.what
	if n := len(l.noDate) - 1; n > 0 {
		what += fmt.Sprintf(", nor are those of %d more rows", n)
	}
	do := x.fault.do + "; or say the order of all once, --dates mdy or --dates dmy"
	l.fail(x.line, x.column, what, do)
}
