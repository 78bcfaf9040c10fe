package layout

import (
	"slices"
	"strings"
)

// Column is how one column of a table is set.
type Column struct {
	Head  string
	Right bool // flush right, as numbers are
	Least int  // cells below which it is not made narrower to fit; 0: it is never made narrower
}

// Table is rows of cells under heads.
type Table struct {
	Columns []Column
	Rows    [][]string // each as long as Columns
	Gap     int        // spaces between columns; 0: two
	// Paint changes the text of a cell once it is set, such as by colour; row
	// -1 is the head. It must not change how wide the text is. May be nil.
	Paint func(row, column int, cell string) string
}

// Lines sets the table in at most width cells, if its columns can be narrowed
// so far: cells that no longer fit are wrapped. Heads are wrapped too.
func (t Table) Lines(width int) []string {
	w := t.widths(width)
	var out []string
	if heads := t.heads(); strings.Join(heads, "") != "" {
		out = t.row(-1, heads, w)
	}
	for i, r := range t.Rows {
		out = append(out, t.row(i, r, w)...)
	}
	return out
}

func (t Table) heads() []string {
	out := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		out[i] = c.Head
	}
	return out
}

// headWidth is the least width at which a head takes two lines at most.
func headWidth(head string) int {
	w := 1
	for len(Wrap(head, w)) > 2 || slices.ContainsFunc(words(head), func(s string) bool { return Width(s) > w }) {
		w++
	}
	return w
}

func (t Table) gap() int {
	if t.Gap == 0 {
		return 2
	}
	return t.Gap
}

// widths gives each column what its longest cell takes (its head on two lines
// at most), then narrows the widest that may be until all fit.
func (t Table) widths(width int) []int {
	w := make([]int, len(t.Columns))
	sum := t.gap() * (len(w) - 1)
	for i, c := range t.Columns {
		w[i] = headWidth(c.Head)
		for _, r := range t.Rows {
			w[i] = max(w[i], Width(r[i]))
		}
		sum += w[i]
	}
	for sum > width {
		at := -1
		for i, c := range t.Columns {
			if c.Least > 0 && w[i] > c.Least && (at < 0 || w[i] > w[at]) {
				at = i
			}
		}
		if at < 0 {
			break
		}
		w[at]--
		sum--
	}
	return w
}

// row sets one row, on as many lines as its longest cell needs. Heads stand at
// the bottom of theirs.
func (t Table) row(n int, cells []string, w []int) []string {
	parts := make([][]string, len(cells))
	height := 1
	for i, c := range cells {
		parts[i] = Wrap(c, w[i])
		height = max(height, len(parts[i]))
	}
	out := make([]string, height)
	for k := range out {
		var b strings.Builder
		for i := range cells {
			j := k
			if n < 0 {
				j -= height - len(parts[i])
			}
			text := ""
			if j >= 0 && j < len(parts[i]) {
				text = parts[i][j]
			}
			b.WriteString(t.cell(n, i, text, w[i], i == len(cells)-1))
		}
		out[k] = strings.TrimRight(b.String(), " ")
	}
	return out
}

// cell pads one cell and the gap behind it; nothing is padded behind the last.
func (t Table) cell(row, col int, text string, width int, last bool) string {
	space := strings.Repeat(" ", max(width-Width(text), 0))
	if t.Paint != nil && text != "" {
		text = t.Paint(row, col, text)
	}
	if t.Columns[col].Right {
		text = space + text
	} else if !last {
		text += space
	}
	if !last {
		text += strings.Repeat(" ", t.gap())
	}
	return text
}
