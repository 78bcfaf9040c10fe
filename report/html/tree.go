package html

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"lostair/diagnose"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report/drawing"
	"lostair/report/figure"
	"lostair/report/show"
)

// seen is what the survey tells of one place on the drawing.
type seen struct {
	worst   int // index into checks, the one that differs most; -1: none
	left    left
	read    int
	off     int
	wrong   []int // indices of checks that look wrong
	verdict figure.Deviation
}

// treeView makes the drawing of a diagnosis.
type treeView struct {
	d       *diagnose.Result
	u       units.System
	w       *where
	byDuct  []seen
	byPoint seen // the collector
}

func newTreeView(d *diagnose.Result, u units.System, list []suspect) *treeView {
	v := &treeView{d: d, u: u, w: locate(d.System, list), byDuct: make([]seen, len(d.System.Ducts)), byPoint: seen{worst: -1}}
	for i := range v.byDuct {
		v.byDuct[i].worst = -1
	}
	with := withFaults(d)
	for i, c := range d.Checks {
		v.place(c.Reading.Point).add(i, c, with)
	}
	return v
}

// place is where a point's readings are shown.
func (v *treeView) place(point string) *seen {
	s := v.d.System
	if d, _, ok := s.TapAt(point); ok {
		return &v.byDuct[d]
	}
	if p, ok := s.PortNamed(point); ok {
		if d := s.Ports[p].Duct; d >= 0 && d < len(v.byDuct) {
			return &v.byDuct[d]
		}
	}
	return &v.byPoint
}

func (s *seen) add(i int, c diagnose.Check, with bool) {
	if c.Wrong {
		s.wrong = append(s.wrong, i)
		return
	}
	x := leftOf(c, with)
	s.read++
	if x.verdict != figure.Same {
		s.off++
	}
	if s.worst < 0 || s.verdict == figure.Same && x.verdict != figure.Same || math.Abs(x.share) > math.Abs(s.left.share) && (x.verdict != figure.Same) == (s.verdict != figure.Same) {
		s.worst, s.left, s.verdict = i, x, x.verdict
	}
}

// notes are the lines of one place: what was read, then what looks wrong.
func (v *treeView) notes(s *seen, suspected []string) []drawing.Note {
	var out []drawing.Note
	for _, n := range suspected {
		out = append(out, drawing.Note{Text: n, Class: "suspect"})
	}
	if s.worst >= 0 {
		out = append(out, drawing.Note{Text: v.told(s), Class: s.verdict.Class()})
	}
	for _, i := range s.wrong {
		r := v.d.Checks[i].Reading
		out = append(out, drawing.Note{Text: fmt.Sprintf("✕ %s: %s looks wrong, left out", v.called(r.Point), v.line(r)), Class: "wrong"})
	}
	return out
}

func (v *treeView) line(r readings.Reading) string {
	if v.d.Survey == nil || len(r.Rows) == 0 || r.Rows[0] >= len(v.d.Survey.Rows) {
		return "a reading"
	}
	return fmt.Sprintf("line %d of the readings", v.d.Survey.Rows[r.Rows[0]].Line)
}

// called is a point with what it is, so that nobody takes a tap for a duct.
func (v *treeView) called(point string) string {
	if _, _, ok := v.d.System.TapAt(point); ok {
		return "tap " + point
	}
	if _, ok := v.d.System.PortNamed(point); ok {
		return "port " + point
	}
	return point
}

// told says what the reading that differs most shows.
func (v *treeView) told(s *seen) string {
	c := v.d.Checks[s.worst]
	point := c.Reading.Point
	if s.verdict == figure.Same {
		if s.read == 1 {
			return fmt.Sprintf("≈ %s fits", v.called(point))
		}
		return fmt.Sprintf("≈ %s fits, %d readings", v.called(point), s.read)
	}
	dim := c.Reading.Quantity.Dimension()
	n := show.Places(2 * show.OffAt * show.Spread(c.Sigma, dim, v.u))
	value := func(x float64) string { return show.Minus(show.Fixed(show.Value(x, dim, v.u), n)) }
	t := fmt.Sprintf("%s %s read %s, expected %s %s", s.verdict.Sign(), point, value(c.Measured), value(s.left.against), show.Symbol(dim.Symbol(v.u)))
	if s.off > 1 {
		t += fmt.Sprintf("; so %s", show.Plural(s.off-1, "other"))
	}
	return t
}

func (v *treeView) sheet(wide bool) drawing.Sheet {
	return drawing.Sheet{
		Sys: v.d.System, Wide: wide,
		Notes:     func(d int) []drawing.Note { return v.notes(&v.byDuct[d], v.w.notes[d]) },
		Collector: v.notes(&v.byPoint, v.w.about),
		Size:      func(d int) string { return figure.DuctSize(&v.d.System.Ducts[d], v.u) },
		Short:     func(d int) string { return figure.Bore(&v.d.System.Ducts[d], v.u) },
		Badges:    func(d int) []drawing.Badge { return v.w.badges[d] },
	}
}

// figures are the drawing for wide and for narrow pages, of which one is shown, and
// whether the wide one stands whole on the first page of a print.
func (v *treeView) figures() (out []figure.TreeFigure, fits bool) {
	for _, wide := range [...]bool{true, false} {
		d := drawing.Layout(v.sheet(wide))
		fits = fits || wide && figure.Fits(d)
		out = append(out, figure.NewTreeFigures(d, v.tint(),
			"The duct system, from the collector to the ports", v.inWords(), wide)...)
	}
	return out, fits
}

// overview is the drawing with branches folded in which nothing is suspected and nothing
// differs; nil if there is nothing to show but those, or too much for half a page.
func (v *treeView) overview() (out []figure.TreeFigure) {
	s := v.d.System
	marked := func(d int) bool {
		return len(v.w.badges[d]) > 0 || len(v.byDuct[d].wrong) > 0 || v.byDuct[d].verdict != figure.Same && v.byDuct[d].verdict != figure.Unread
	}
	if !slices.ContainsFunc(s.Order, marked) {
		return nil
	}
	over := drawing.Folded(s, marked, func(n int) string { return show.Plural(n, "port") + ", folded" })
	named := func(d int, text func(int) string) string { // a size is of one duct
		if over.Ducts[d].ID != s.Ducts[d].ID {
			return ""
		}
		return text(d)
	}
	for _, wide := range [...]bool{true, false} {
		sh := v.sheet(wide)
		notes, size, short := sh.Notes, sh.Size, sh.Short
		sh.Sys = over
		sh.Notes = func(d int) []drawing.Note {
			if !marked(d) {
				return nil
			}
			return notes(d)
		}
		sh.Size = func(d int) string { return named(d, size) }
		sh.Short = func(d int) string { return named(d, short) }
		laid := drawing.Layout(sh)
		if wide && !figure.Fits(laid) {
			return nil // no overview
		}
		for _, f := range figure.NewTreeFigures(laid, v.tint(), "The ducts that lead to suspects, from the collector", v.zonesInWords(), wide) {
			f.ID = "over-" + f.ID
			out = append(out, f)
		}
	}
	return out
}

func (v *treeView) tint() figure.Tint {
	return figure.Tint{Class: v.class, Zones: v.w.zones, Parts: v.w.parts, Grade: v.w.grade}
}

func (v *treeView) class(d int) string { return v.byDuct[d].verdict.Class() }

// counted says how many ducts' readings fit and how many differ.
func (v *treeView) counted() string {
	count := map[figure.Deviation]int{}
	for i := range v.byDuct {
		count[v.byDuct[i].verdict]++
	}
	words := map[figure.Deviation]string{figure.FarLess: "less by 25 % or more", figure.Less: "less by 10 % or more", figure.Same: "fit",
		figure.More: "more by 10 % or more", figure.FarMore: "more by 25 % or more"}
	var parts []string
	for k := figure.FarLess; k <= figure.FarMore; k++ {
		if n := count[k]; n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, words[k]))
		}
	}
	if n := count[figure.Unread]; n > 0 {
		parts = append(parts, fmt.Sprintf("%d not read", n))
	}
	return "of the ducts " + show.Listed(parts)
}

// inWords is the text in place of the drawing.
func (v *treeView) inWords() string {
	s := v.d.System
	t := fmt.Sprintf("A tree of %d ducts with %d ports.", len(s.Ducts), len(s.Ports))
	t += " By their readings, " + v.counted() + "."
	t += v.zonesInWords()
	return t + " The table of ducts says the same in words."
}

// zonesInWords say on what each suspect is marked.
func (v *treeView) zonesInWords() (t string) {
	s := v.d.System
	for _, z := range v.w.zones {
		ids := make([]string, len(z.Ducts))
		for i, d := range z.Ducts {
			ids[i] = s.Ducts[d].ID
		}
		ids = append(ids, z.Spots...)
		t += fmt.Sprintf(" Suspect %s is marked on %s.", z.Number, show.Listed(ids))
	}
	return t
}

// ductRow is a duct in the table that stands for the drawing.
type ductRow struct{ ID, Into, Size, Read, Suspects string }

// rows tell the drawing in words, a row a duct, from the collector on.
func (v *treeView) rows() []ductRow {
	s := v.d.System
	var out []ductRow
	for _, i := range s.Order {
		d := &s.Ducts[i]
		r := ductRow{ID: d.ID, Into: "collector", Size: figure.DuctSize(d, v.u), Read: "not read"}
		if d.Into >= 0 {
			r.Into = s.Ducts[d.Into].ID
		}
		if x := &v.byDuct[i]; x.worst >= 0 {
			c := v.d.Checks[x.worst]
			r.Read = fmt.Sprintf("%s at %s", saidOf(x.verdict, c.Reading.Quantity), c.Reading.Point)
		}
		r.Suspects = strings.Join(v.w.notes[i], ", ")
		out = append(out, r)
	}
	return slices.Clip(out)
}

// saidOf is a difference on the drawing in words.
func saidOf(v figure.Deviation, q units.Quantity) string {
	if v == figure.Same {
		return "fits"
	}
	return v.Said(q)
}
