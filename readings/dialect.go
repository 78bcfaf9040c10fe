package readings

import "strings"

// separators in the order in which they are preferred.
var separators = [...]rune{',', ';', '\t'}

// separator finds what separates the fields: what a spreadsheet says in a
// first line "sep=;", or else what splits the header row into the most known
// columns. It blanks the "sep=" line out.
func (t *text) separator() rune {
	first := t.firstLine()
	if sep, ok := sepLine(t.lines[first]); ok {
		t.comment(first)
		return sep
	}
	best, most := separators[0], -1
	for _, sep := range separators {
		if n := rateSeparator(t.lines[first], sep); n > most {
			best, most = sep, n
		}
	}
	return best
}

// firstLine is the index of the first line that is neither empty nor a
// comment; 0 if there is none.
func (t *text) firstLine() int {
	for i, l := range t.lines {
		if l = strings.TrimSpace(l); l != "" && l[0] != '#' {
			return i
		}
	}
	return 0
}

// rateSeparator is the number of known columns, then that of all columns.
func rateSeparator(header string, sep rune) int {
	names := strings.Split(header, string(sep))
	known := 0
	for _, n := range names {
		if columnNamed(strings.Trim(strings.TrimSpace(n), `"`)) != "" {
			known++
		}
	}
	return known*mostLine + len(names)
}

func sepLine(l string) (rune, bool) {
	l = strings.Trim(strings.TrimRight(l, " "), `"`)
	if len(l) != 5 || !strings.EqualFold(l[:4], "sep=") {
		return 0, false
	}
	for _, sep := range separators {
		if rune(l[4]) == sep {
			return sep, true
		}
	}
	return 0, false
}

// comment makes line i a comment, leaving every other position as it is.
func (t *text) comment(i int) {
	at := 0
	for _, l := range t.lines[:i] {
		at += len(l) + 1
	}
	t.all = t.all[:at] + "#" + t.all[at+1:]
	t.lines[i] = "#" + t.lines[i][1:]
}
