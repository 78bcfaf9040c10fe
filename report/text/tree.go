package text

import (
	"fmt"
	"slices"
	"strings"

	"lostair/report"
	"lostair/report/show"
)

// Tree is the tree as one text, for pages.
func Tree(r *report.Result) string {
	const most, width = 24, 72
	return strings.Join(lines(r, most, width), "\n")
}

// lines draws the part of the tree that holds suspects, in characters, with
// what is beside it folded: at most so many lines; nil if no suspect lies in a
// duct.
func lines(r *report.Result, most, width int) []string {
	t := newTextTree(r)
	t.width = width
	if len(t.marked) == 0 {
		return nil
	}
	for _, t.brief = range []bool{false, true} {
		t.out = []string{"collector" + t.parts(r)}
		t.branch("collector", "")
		if len(t.out) <= most {
			return t.out
		}
	}
	if len(t.out) > most {
		left := len(t.out) - most + 1
		t.out = append(t.out[:most-1], fmt.Sprintf("... %d more lines with --all", left))
	}
	return t.out
}

type treeText struct {
	ducts    []report.Duct
	children map[string][]int
	marks    map[string][]spotMark // by duct
	marked   map[string]bool       // itself, or something upstream of it
	out      []string
	width    int
	brief    bool // without what holds no suspect
}

func newTextTree(r *report.Result) *treeText {
	t := &treeText{ducts: r.System.Ducts, children: map[string][]int{}, marks: map[string][]spotMark{}, marked: map[string]bool{}}
	into, byGate, byPort := map[string]string{}, map[string]string{}, map[string]string{}
	for i, d := range t.ducts {
		t.children[d.Into] = append(t.children[d.Into], i)
		into[d.ID] = d.Into
		if d.Gate != "" {
			byGate[d.Gate] = d.ID
		}
		if d.Port != "" {
			byPort[d.Port] = d.ID
		}
	}
	main, narrow, _ := report.Sorted(r.Faults)
	for n, f := range append(main, narrow...) {
		for _, m := range f.Members() {
			at := m.Where
			switch {
			case m.AtGate():
				at = byGate[m.Where]
			case m.AtHood():
				at = byPort[m.Where]
			}
			if _, ok := into[at]; !ok {
				continue
			}
			p := f.Shown(m)
			if f.Kind == report.Undersized {
				p = f.Probability
			}
			spot := ""
			switch {
			case m.AtHood():
				spot = "hood"
			case m.Place() != at:
				spot = "gate"
			}
			t.mark(at, n+1, spot, p)
			for x := at; x != "" && x != "collector"; x = into[x] {
				t.marked[x] = true
			}
		}
	}
	return t
}

// spotMark is a suspect's chance at one spot of a duct.
type spotMark struct {
	number int
	spot   string // "gate", "hood"; "": along the duct
	chance float64
}

// mark sets a suspect's number and chance on a duct.
func (t *treeText) mark(duct string, n int, spot string, chance float64) {
	list := t.marks[duct]
	for i := range list {
		if list[i].number == n && list[i].spot == spot {
			list[i].chance += chance
			return
		}
	}
	t.marks[duct] = append(list, spotMark{n, spot, chance})
}

// told says a duct's marks: "[1] 37 %", or by spot "[1] gate 6 %, duct 4 %".
func (t *treeText) told(duct string) string {
	var b strings.Builder
	list, last := t.marks[duct], 0
	for _, m := range list {
		switch {
		case m.number == last:
			b.WriteString(", ")
		case last > 0:
			b.WriteString("; ")
		}
		if m.number != last {
			fmt.Fprintf(&b, "[%d] ", m.number)
			last = m.number
		}
		several := slices.ContainsFunc(list, func(x spotMark) bool { return x.number == m.number && x.spot != m.spot })
		if m.spot != "" {
			b.WriteString(m.spot + " ")
		} else if several {
			b.WriteString("duct ")
		}
		b.WriteString(show.Percent(m.chance))
	}
	return b.String()
}

// parts names suspects in the collector itself.
func (t *treeText) parts(r *report.Result) string {
	var out []string
	main, narrow, _ := report.Sorted(r.Faults)
	for n, f := range append(main, narrow...) {
		for _, m := range f.Members() {
			if w := m.Where; w == "bin" || w == "filter" || w == "fan" {
				out = append(out, fmt.Sprintf("[%d] %s %s", n+1, show.Percent(f.Shown(m)), w))
			}
		}
	}
	if len(out) == 0 {
		return ""
	}
	return "  <== " + show.Commas(out)
}

// chain is a duct and those upstream of it, one behind the other, that lead to
// suspects and hold none: they share a line.
func (t *treeText) chain(i int) []int {
	out := []int{i}
	for {
		d := t.ducts[i]
		next := t.children[d.ID]
		if t.brief {
			next = slices.DeleteFunc(slices.Clone(next), func(k int) bool { return !t.marked[t.ducts[k].ID] })
		}
		if len(t.marks[d.ID]) > 0 || len(next) != 1 {
			return out
		}
		i = next[0]
		out = append(out, i)
	}
}

// add writes a line; a port and a mark that have no room are left to the lines
// above it.
func (t *treeText) add(s, port, mark string) {
	if port != "" && len(s)+len(", port ")+len(port)+len("  <== ")+len(mark) <= t.width {
		s += ", port " + port
	}
	if mark != "" {
		s += "  <== " + mark
	}
	t.out = append(t.out, s)
}

func (t *treeText) branch(of, indent string) {
	var open []int
	folded := 0
	for _, i := range t.children[of] {
		if t.marked[t.ducts[i].ID] {
			open = append(open, i)
		} else if !t.brief {
			folded++
		}
	}
	for k, i := range open {
		chain := t.chain(i)
		d := t.ducts[chain[len(chain)-1]]
		last := k == len(open)-1 && folded == 0
		lead, more := "|- ", "|  "
		if last {
			lead, more = "`- ", "   "
		}
		name := t.ducts[i].ID
		switch len(chain) {
		case 1:
		case 2:
			name += ", " + d.ID
		default:
			name += " to " + d.ID
		}
		s := indent + lead + name + "  " + sizeOf(&d)
		t.add(s, d.Port, t.told(d.ID))
		t.branch(d.ID, indent+more)
	}
	if folded > 0 && len(open) > 0 {
		t.out = append(t.out, indent+"`- "+branches(folded)+" without a suspect")
	}
}

func branches(n int) string {
	if n == 1 {
		return "1 branch"
	}
	return fmt.Sprintf("%d branches", n)
}

// sizeOf is a duct's diameter or, of a rectangular one, its width by its height.
func sizeOf(d *report.Duct) string {
	if d.Width != nil && d.Height != nil {
		return show.Numeral(d.Width.Value) + " x " + show.WithUnit(d.Height.Value, d.Height.Unit)
	}
	return show.WithUnit(d.Diameter.Value, d.Diameter.Unit)
}
