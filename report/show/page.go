package show

import (
	"io"
	"regexp"
	"strings"

	"lostair/readings/units"
	"lostair/report/layout"
)

// Style is how text is shown.
type Style struct {
	Color bool // with the colours of a terminal
	Plain bool // with ASCII characters only
	Width int  // cells a line; 0: 80
	All   bool // everything, not the first things alone
}

// Terminal colours, by what they say. Nothing is said by colour alone.
const (
	PlainText = ""
	Bold      = "\x1b[1m"
	Good      = "\x1b[32m"
	Bad       = "\x1b[1;31m"
	Doubtful  = "\x1b[33m"
	Reset     = "\x1b[0m"
)

// Page gathers lines. Whatever goes in is made harmless first, so nothing in a
// user's file can control the terminal.
type Page struct {
	Style Style
	b     strings.Builder
}

// NewPage begins a page; without a width it has 80 columns.
func NewPage(s Style) *Page {
	if s.Width <= 0 {
		s.Width = 80
	}
	s.Width = max(s.Width, 40)
	return &Page{Style: s}
}

func (p *Page) clean(s string) string {
	s = layout.Clean(s)
	if p.Style.Plain {
		s = layout.ASCII(s)
	}
	return amounts.ReplaceAllString(s, "$1$3$5"+layout.NoBreak+"$2$4$6")
}

// amounts are numbers with their units or with the word before them, which a
// line must not part.
var amounts = regexp.MustCompile(`([0-9]) (` + strings.Join(unitSymbols(), "|") + `)\b|([0-9]) (%)|\b(lines?) ([0-9])`)

func unitSymbols() []string {
	var out []string
	for d := units.Number; d <= units.Multiple; d++ {
		for _, u := range []units.System{units.Metric, units.US} {
			if s := d.Symbol(u); s != "" && s != "%" {
				out = append(out, regexp.QuoteMeta(s))
			}
		}
	}
	return out
}

func (p *Page) paint(s, color string) string {
	if !p.Style.Color || color == PlainText || s == "" {
		return s
	}
	return color + s + Reset
}

// Lines writes lines that are clean and wrapped already.
func (p *Page) Lines(lines []string, color string) {
	for _, l := range lines {
		p.b.WriteString(p.paint(l, color) + "\n")
	}
}

// Drawing writes lines drawn in characters, which hold names from outside.
func (p *Page) Drawing(lines []string) {
	for _, l := range lines {
		l = layout.Clean(l)
		if p.Style.Plain {
			l = layout.ASCII(l)
		}
		p.Lines([]string{l}, PlainText)
	}
}

// Blank adds an empty line.
func (p *Page) Blank() { p.b.WriteByte('\n') }

// Heading starts a section.
func (p *Page) Heading(s string) {
	s = strings.ReplaceAll(p.clean(s), layout.NoBreak, " ") // it is not wrapped
	p.Blank()
	p.Lines([]string{s}, Bold)
	p.Lines([]string{strings.Repeat("-", layout.Width(s))}, PlainText)
}

// Para writes a paragraph behind a lead, such as spaces or "1. ".
func (p *Page) Para(lead, text, color string) {
	p.Lines(layout.Hang(lead, p.clean(text), p.Style.Width), color)
}

// Table writes a table, indented. paint may be nil.
func (p *Page) Table(indent string, t layout.Table, paint func(row, column int) string) {
	for i := range t.Columns {
		t.Columns[i].Head = p.clean(t.Columns[i].Head)
	}
	for _, r := range t.Rows {
		for i := range r {
			r[i] = p.clean(r[i])
		}
	}
	t.Paint = func(row, column int, cell string) string {
		if row < 0 {
			return p.paint(cell, Bold)
		}
		if paint == nil {
			return cell
		}
		return p.paint(cell, paint(row, column))
	}
	for _, l := range t.Lines(p.Style.Width - len(indent)) {
		p.b.WriteString(strings.TrimRight(indent+l, " ") + "\n")
	}
}

// Append puts another page's lines below.
func (p *Page) Append(o *Page) { p.b.WriteString(o.b.String()) }

// Height is how many lines stand on it.
func (p *Page) Height() int { return strings.Count(p.b.String(), "\n") }

func (p *Page) Write(w io.Writer) error {
	_, err := io.WriteString(w, p.b.String())
	return err
}
