package readings

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
)

// holder is a column whose fields can be told from others by what they hold.
type holder struct {
	name  string
	holds func(field string) bool
	what  string
}

var dateLike = regexp.MustCompile(`^\d{1,4}[-/.]\d{1,2}[-/.]\d{1,4}$`)

var numberLike = regexp.MustCompile(`^[-+−]?[\d.,]+$`)

var fieldsOf = map[string]func(w *written) string{
	"date": func(w *written) string { return w.Date }, "open": func(w *written) string { return w.Open },
	"point": func(w *written) string { return w.Point }, "quantity": func(w *written) string { return w.Quantity },
	"value": func(w *written) string { return w.Value }, "unit": func(w *written) string { return w.Unit },
	"instrument": func(w *written) string { return w.Instrument }, "note": func(w *written) string { return w.Note },
}

var holders = [...]holder{
	{"quantity", isQuantity, "quantities"},
	{"value", func(f string) bool { return numberLike.MatchString(f) || f == "yes" || f == "no" }, "values"},
	{"date", dateLike.MatchString, "dates"},
	{"unit", isUnit, "units"},
}

func isQuantity(f string) bool {
	if _, bad := parseQuantity(f); bad == nil {
		return true
	}
	_, look := LookNamed(f)
	return look
}

// swappedLeast is how many rows must speak for a swapped header.
const swappedLeast = 2

// swapped reports a header with two names in one another's place: none of the
// fields under a name can be what it says, and all under another name are.
func (l *loader) swapped(header record, names []string, rows []written) bool {
	for _, h := range holders {
		if n, fit := fitting(rows, fieldsOf[h.name], h.holds); n < swappedLeast || fit > 0 {
			continue
		}
		for _, other := range columnNames {
			of, known := fieldsOf[other]
			if !known {
				continue
			}
			n, fit := fitting(rows, of, h.holds)
			if other == h.name || n < swappedLeast || fit < n || !slices.Contains(names, other) {
				continue
			}
			for i, name := range names {
				if name == h.name {
					l.fail(header.line, header.columns[i], fmt.Sprintf("no row has %s under %q, and each of %d has them under %q", h.what, h.name, n, other),
						"if these two names have changed places in the header row, change them back")
				}
			}
			return true
		}
	}
	return false
}

// fitting counts the fields that hold something, and those that hold what is asked.
func fitting(rows []written, of func(w *written) string, holds func(string) bool) (n, fit int) {
	for i := range rows {
		if f := of(&rows[i]); f != "" {
			n++
			if holds(f) {
				fit++
			}
		}
	}
	return n, fit
}

// otherSeparators are what people take for a separator, and no file can have.
const otherSeparators = "|:^ "

// separatedOtherwise names what separates a header row that names no column, if
// another sign than ours makes one of it; else "".
func separatedOtherwise(line string) string {
	for _, sep := range otherSeparators {
		if n := rateSeparator(line, sep) / mostLine; n >= len(needed()) {
			if sep == ' ' {
				return "blanks"
			}
			return fmt.Sprintf("%q", string(sep))
		}
	}
	return ""
}

// unlikeHeader reports rows whose fields are separated by another sign than those of
// the header row.
func (l *loader) unlikeHeader(t *text, records []record) bool {
	n, other := 0, ' '
	for _, r := range records {
		if len(r.fields) > 1 && !alone(r) {
			continue
		}
		for _, sep := range separators {
			if sep != l.sep && strings.Count(t.lines[r.line-1], string(sep)) >= len(needed())-1 {
				n, other = n+1, sep
				break
			}
		}
	}
	if n == 0 || n < len(records) {
		return false
	}
	l.fail(records[0].line, 0, fmt.Sprintf("the fields of the header row are separated by %s, those of the %d rows by %s", nameOf(l.sep), n, nameOf(other)),
		"use one of them for all rows")
	return true
}

// lookAlikes warns of comments that may be rows whose first field is an id
// that begins with #.
func (l *loader) lookAlikes(t *text, names []string) {
	if names[0] != "open" && names[0] != "point" {
		return
	}
	for i, line := range t.lines {
		fields := strings.Split(line, string(l.sep))
		if !strings.HasPrefix(line, "#") || len(fields) < len(needed()) {
			continue
		}
		for _, f := range fields {
			if _, bad := parseQuantity(strings.TrimSpace(f)); bad == nil {
				l.warn(i+1, 1, "this line begins with # and is passed over as a comment", "if it is a reading, put its first field in quotation marks")
				break
			}
		}
	}
}

// alone is whether a row has but one field with something in it.
func alone(r record) bool {
	n := 0
	for _, f := range r.fields {
		if f != "" {
			n++
		}
	}
	return n == 1
}

func nameOf(sep rune) string {
	return map[rune]string{',': "commas", ';': "semicolons", '\t': "tabs"}[sep]
}
