// Package problem holds what is wrong with a file a person wrote: where it
// is, what is wrong and what to do, gathered until the whole file is read so
// that everything is reported at once, in file order.
package problem

import (
	"fmt"
	"sort"
	"strings"
)

// Problem is one thing wrong (or doubtful) at one place of a file.
type Problem struct {
	File    string // as the user named it
	Line    int    // 1-based; 0: the file as a whole
	Column  int    // 1-based, in characters; 0: the whole line
	What    string // what is wrong, with the value as written; no full stop
	Do      string // what to do about it; may be empty
	Warning bool   // worth saying, but the file can be used
	Sheet   string // of a workbook: its sheet, of which Line is a row and Column a column; "": the file has lines
}

// String is "file:line:column: what; do", of a workbook "file: sheet, C7: what; do".
func (p Problem) String() string {
	var b strings.Builder
	b.WriteString(p.File)
	switch {
	case p.Sheet != "":
		b.WriteString(": " + p.Sheet + p.cell())
	case p.Line > 0:
		fmt.Fprintf(&b, ":%d", p.Line)
		if p.Column > 0 {
			fmt.Fprintf(&b, ":%d", p.Column)
		}
	}
	if b.Len() > 0 { // what was typed is in no file
		b.WriteString(": ")
	}
	if p.Warning {
		b.WriteString("warning: ")
	}
	b.WriteString(p.What)
	if p.Do != "" {
		b.WriteString("; " + p.Do)
	}
	return b.String()
}

// cell is ", C7" or ", row 7".
func (p Problem) cell() string {
	switch {
	case p.Line <= 0:
		return ""
	case p.Column <= 0:
		return fmt.Sprintf(", row %d", p.Line)
	}
	letters := ""
	for n := p.Column; n > 0; n = (n - 1) / 26 {
		letters = string(rune('A'+(n-1)%26)) + letters
	}
	return fmt.Sprintf(", %s%d", letters, p.Line)
}

// List gathers problems. The zero List is ready to use.
type List []Problem

// InSheet is the list with the sheet named in each problem of a file, if it has one.
func (l List) InSheet(file, sheet string) List {
	if sheet == "" {
		return l
	}
	out := append(List(nil), l...)
	for i := range out {
		if out[i].File == file {
			out[i].Sheet = sheet
		}
	}
	return out
}

// Error joins all problems, a line each, so a List can be returned as an error.
func (l List) Error() string {
	s := make([]string, len(l))
	for i, p := range l {
		s[i] = p.String()
	}
	return strings.Join(s, "\n")
}

// Errors are the problems that are not warnings.
func (l List) Errors() List {
	var out List
	for _, p := range l {
		if !p.Warning {
			out = append(out, p)
		}
	}
	return out
}

// Err returns the list as an error if it holds at least one that is not a
// warning, else nil.
func (l List) Err() error {
	for _, p := range l {
		if !p.Warning {
			return l
		}
	}
	return nil
}

// Sort puts the problems into file order: line, column, then text.
func (l List) Sort() {
	sort.SliceStable(l, func(i, j int) bool {
		a, b := l[i], l[j]
		switch {
		case a.File != b.File:
			return a.File < b.File
		case a.Line != b.Line:
			return a.Line < b.Line
		case a.Column != b.Column:
			return a.Column < b.Column
		}
		return a.What < b.What
	})
}

// Nearest returns the candidate closest to name in edit distance, if it is
// close enough to be meant: at most a third of the longer name's length.
func Nearest(name string, candidates []string) (string, bool) {
	best, bestD := "", 1<<30
	for _, c := range candidates {
		d := distance(strings.ToLower(name), strings.ToLower(c))
		if d < bestD || d == bestD && c < best {
			best, bestD = c, d
		}
	}
	n := max(len([]rune(name)), len([]rune(best)))
	return best, best != "" && 3*bestD <= n
}

// distance is the optimal-string-alignment distance (a swap of neighbours is
// one edit), the usual measure for typing slips.
func distance(a, b string) int {
	x, y := []rune(a), []rune(b)
	prev2, prev, cur := make([]int, len(y)+1), make([]int, len(y)+1), make([]int, len(y)+1)
	for j := range prev {
		prev[j] = j
	}
	for i := 1; i <= len(x); i++ {
		cur[0] = i
		for j := 1; j <= len(y); j++ {
			c := 1
			if x[i-1] == y[j-1] {
				c = 0
			}
			cur[j] = min(prev[j]+1, cur[j-1]+1, prev[j-1]+c)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				cur[j] = min(cur[j], prev2[j-2]+1)
			}
		}
		prev2, prev, cur = prev, cur, prev2
	}
	return prev[len(y)]
}
