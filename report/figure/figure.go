// Package figure makes a laid out duct tree ready for a template, with the marks
// of what was read.
package figure

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"lostair/report/drawing"
	"lostair/report/show"
)

// TreeFigure is a laid out tree, or one band of it, its numbers ready for the
// template.
type TreeFigure struct {
	ID, Kind, Title string
	Desc            string
	More            bool // a further band: the first one's words stand for it
	Width, Height   string
	Top             string
	Zones           []figureZone
	Pipes           []figurePipe
	Joins           []figureBar
	Boxes           []figureBox
	Arrow           string
	Labels          []figureLabel
	Leaders         []figureBar
	Taps, Mouths    []Dot
	Gates           []figureBar
	Bends           []string // paths
	Badges          []Dot

	boxes []drawing.Box
}

type figureZone struct {
	Path, Wide, Inner string
}

type figurePipe struct {
	Path, Width, Core, Class string
	Duct, Into               string // numbers of the duct and of what it flows into; "": none, or the collector
	Hose                     bool
}

// Differs says whether the pipe gets a line along it, that a print without
// colour shows what differs too.
func (p figurePipe) Differs() bool {
	return slices.Contains([]string{FarLess.Class(), Less.Class(), More.Class(), FarMore.Class()}, p.Class)
}

type figureBar struct{ X1, Y1, X2, Y2, Width string }

type figureBox struct {
	X, Y, Width, Height string
	Part                string
	Suspect             bool
}

type figureLabel struct{ X, Y, Text, Class, Full string }

// Dot is a mark on a duct, with the text in it; lengths are of the drawing.
type Dot struct{ X, Y, Size, Text, Shape, Class, Duct string }

// Tint is what the layout does not know of a drawing.
type Tint struct {
	Class func(duct int) string // by its readings
	Zones []Zone
	Parts map[string][]string                    // suspects by part of the collector
	Grade func(duct int, b drawing.Badge) string // class of a suspect's number by its chance; nil: none
}

// fitting is the most of its width that a drawing may be high to stand whole
// on the first page of a print, below the answer.
const fitting = 0.8

// Fits says whether a drawing stands whole on the first page of a print.
func Fits(d *drawing.Drawing) bool { return d.Height <= fitting*d.Width }

// bandHeight is the most of a drawing that is kept on one page when printed.
const bandHeight = 130

// NewTreeFigures turns a layout into what the template writes: bands, one below
// the other, so that paper can break between rows and not within one.
func NewTreeFigures(d *drawing.Drawing, t Tint, title, desc string, wide bool) []TreeFigure {
	cuts := []float64{0}
	if wide {
		last := 0.0
		for i, y := range d.Rows {
			if next := i + 1; next < len(d.Rows) && d.Rows[next]-last > bandHeight {
				cuts, last = append(cuts, y), y
			}
		}
	}
	cuts = append(cuts, d.Height)
	out := make([]TreeFigure, len(cuts)-1)
	for i := range out {
		f := NewTreeFigure(d, t, cuts[i], cuts[i+1])
		f.Kind, f.Title = "narrow", title
		if wide {
			f.Kind = "wide"
		}
		f.ID = fmt.Sprintf("%s-%d", f.Kind, i+1)
		if i == 0 {
			f.Desc = desc
		}
		f.More = i > 0
		out[i] = f
	}
	return out
}

// NewTreeFigure is the band from top to bottom.
func NewTreeFigure(all *drawing.Drawing, t Tint, top, bottom float64) TreeFigure {
	d := all.Band(top, bottom)
	f := TreeFigure{Width: show.Coordinate(d.Width), Height: show.Coordinate(bottom - top), Top: show.Coordinate(top), boxes: d.Boxes}
	at := map[int]drawing.Pipe{}
	for i := len(d.Pipes) - 1; i >= 0; i-- { // what is nearer the collector covers the ends of what enters it
		p := d.Pipes[i]
		at[p.Duct] = p
		f.Pipes = append(f.Pipes, figurePipe{Path: pathOf(p.Path), Width: show.Coordinate(p.Width), Core: show.Coordinate(max(p.Width-2.6, 1)), Class: t.Class(p.Duct), Hose: p.Hose, Duct: strconv.Itoa(p.Duct), Into: intoOf(p)})
	}
	for _, z := range t.Zones {
		for _, i := range z.Ducts {
			if p, ok := at[i]; ok {
				f.Zones = append(f.Zones, figureZone{pathOf(clearOf(p.Path)), show.Coordinate(p.Width + 11), show.Coordinate(p.Width + 8)})
			}
		}
	}
	for _, m := range d.Marks {
		if a, b, ok := t.around(m, at); ok {
			f.Zones = append(f.Zones, figureZone{pathOf([]drawing.Point{a, b}), show.Coordinate(at[m.Duct].Width + 11), show.Coordinate(at[m.Duct].Width + 8)})
		}
	}
	if j := d.Join; j != nil {
		f.Joins = append(f.Joins, bar(j.From, j.To, j.Width))
	}
	for _, l := range d.Leaders {
		f.Leaders = append(f.Leaders, bar(l[0], l[1], 1))
	}
	for _, b := range d.Boxes {
		f.Boxes = append(f.Boxes, figureBox{X: show.Coordinate(b.At.X), Y: show.Coordinate(b.At.Y), Width: show.Coordinate(b.Width), Height: show.Coordinate(b.Height), Part: b.Part})
	}
	if len(d.Boxes) > 0 {
		f.Arrow = "M" + show.Coordinate(d.Outlet.X-8) + " " + show.Coordinate(d.Outlet.Y) + "h14m-5 -4l5 4l-5 4" + inlets(d)
	}
	for _, l := range d.Labels {
		f.Labels = append(f.Labels, figureLabel{show.Coordinate(l.At.X), show.Coordinate(l.At.Y), l.Text, l.Class, l.Full})
	}
	for _, m := range d.Marks {
		f.sign(m, t.Grade)
	}
	f.mark(t.Parts)
	return f
}

func (f *TreeFigure) sign(m drawing.Mark, grade func(int, drawing.Badge) string) {
	x, y := m.At.X, m.At.Y
	dot := Dot{X: show.Coordinate(x), Y: show.Coordinate(y), Size: show.Coordinate(m.Size), Text: m.Text}
	half := m.Size/2 + 3.5
	switch m.Kind {
	case drawing.TapMark:
		dot.Size = "2.6"
		f.Taps = append(f.Taps, dot)
	case drawing.MouthMark:
		h := m.Size/2 + 3
		dot.Shape = "M" + show.Coordinate(x-1) + " " + show.Coordinate(y-m.Size/2) + "l7 " + show.Coordinate(-3) + "v" + show.Coordinate(2*h) + "l-7 " + show.Coordinate(-3) + "z"
		dot.Duct = strconv.Itoa(m.Duct)
		f.Mouths = append(f.Mouths, dot)
	case drawing.GateMark:
		if m.Along {
			f.Gates = append(f.Gates, bar(drawing.Point{X: x, Y: y - half}, drawing.Point{X: x, Y: y + half}, 3))
		} else {
			f.Gates = append(f.Gates, bar(drawing.Point{X: x - half, Y: y}, drawing.Point{X: x + half, Y: y}, 3))
		}
	case drawing.BendMark:
		f.Bends = append(f.Bends, corner(x, y, m.Size/2-1.6, m.Along))
	case drawing.BadgeMark:
		b := badge(x, y, m.Text)
		if grade != nil {
			b.Class = grade(m.Duct, drawing.Badge{Number: m.Text, Spot: m.Spot})
		}
		f.Badges = append(f.Badges, b)
	}
}

// intoOf is the number of the duct that a pipe flows into, "" for the collector.
func intoOf(p drawing.Pipe) string {
	if p.Into < 0 {
		return ""
	}
	return strconv.Itoa(p.Into)
}

// corner is a bend's mark within a pipe.
func corner(x, y, half float64, along bool) string {
	c := show.Coordinate
	if along {
		return "M" + c(x-half) + " " + c(y+half*0.7) + "h" + c(half) + "q" + c(half) + " 0 " + c(half) + " " + c(-half) + "v" + c(-half*0.5)
	}
	return "M" + c(x-half*0.7) + " " + c(y+half) + "v" + c(-half) + "q0 " + c(-half) + " " + c(half) + " " + c(-half) + "h" + c(half*0.5)
}

// badge is a suspect's number in a diamond.
func badge(x, y float64, number string) Dot {
	return Dot{X: show.Coordinate(x), Y: show.Coordinate(y + 3.6), Text: number,
		Shape: "M" + show.Coordinate(x) + " " + show.Coordinate(y-9.5) + "l9.5 9.5l-9.5 9.5l-9.5 -9.5z"}
}

// mark sets suspects' numbers on parts of the collector.
func (f *TreeFigure) mark(parts map[string][]string) {
	for i := range f.Boxes {
		b := f.boxes[i]
		y := b.At.Y + b.Height - 12
		if b.Part == "bin" {
			y = b.At.Y + b.Height/2
		}
		for k, n := range parts[b.Part] {
			if x := b.At.X + b.Width - 11 - 19*float64(k); x > b.At.X+9 {
				f.Badges = append(f.Badges, badge(x, y, n))
			}
			f.Boxes[i].Suspect = true
		}
	}
}

// inlets are arrows from the ducts into the first part of the collector, and from
// each part to the next.
func inlets(d *drawing.Drawing) string {
	var b strings.Builder
	first := d.Boxes[0]
	bottom := first.At.Y + first.Height
	if len(d.Pipes) > 0 && len(d.Pipes[0].Path) > 0 {
		at := d.Pipes[0].Path[0]
		if up := at.Y - bottom; up > 1 && at.X > first.At.X && at.X < first.At.X+first.Width {
			b.WriteString("M" + show.Coordinate(at.X) + " " + show.Coordinate(at.Y) + "V" + show.Coordinate(bottom) + "m-4 4l4 -4l4 4")
		}
	}
	last := first
	for _, x := range d.Boxes[1:] {
		if x.Part == "bin" {
			continue
		}
		from := last.At.X + last.Width
		b.WriteString("M" + show.Coordinate(from) + " " + show.Coordinate(x.At.Y+14) + "H" + show.Coordinate(x.At.X) + "m-4 -3l4 3l-4 3")
		last = x
	}
	return b.String()
}

func bar(a, b drawing.Point, width float64) figureBar {
	return figureBar{show.Coordinate(a.X), show.Coordinate(a.Y), show.Coordinate(b.X), show.Coordinate(b.Y), show.Coordinate(width)}
}

// clearOf is a path that starts clear of the pipe it leaves at a slant.
func clearOf(p []drawing.Point) []drawing.Point {
	if len(p) < 2 || p[0].X == p[1].X || p[0].Y == p[1].Y {
		return p
	}
	q := slices.Clone(p)
	q[0] = drawing.Point{X: (p[0].X + p[1].X) / 2, Y: (p[0].Y + p[1].Y) / 2}
	return q
}

func pathOf(ps []drawing.Point) string {
	var b strings.Builder
	for i, p := range ps {
		if i == 0 {
			b.WriteByte('M')
		} else {
			b.WriteByte('L')
		}
		b.WriteString(show.Coordinate(p.X) + " " + show.Coordinate(p.Y))
	}
	return b.String()
}

// Zone is the stretch in which one suspect or what looks like it lies.
type Zone struct {
	Number string
	Ducts  []int    // suspected along their length
	Spots  []string // gates and hoods, in words; their badges say where they are drawn
}

// nearby is how far a zone reaches on either side of a suspect gate or hood.
const nearby = 14

// around is the piece of a duct about the badge of a gate or a hood, if the duct is
// not marked as a whole by the same suspect.
func (t Tint) around(m drawing.Mark, at map[int]drawing.Pipe) (a, b drawing.Point, ok bool) {
	p, drawn := at[m.Duct]
	if m.Kind != drawing.BadgeMark || m.Spot == drawing.Along || !drawn {
		return a, b, false
	}
	for _, z := range t.Zones {
		if z.Number == m.Text && slices.Contains(z.Ducts, m.Duct) {
			return a, b, false
		}
	}
	within := func(v, end, other float64) float64 { return min(max(v, min(end, other)), max(end, other)) }
	a, b = m.At, m.At
	if m.Along {
		a.X, b.X = within(a.X-nearby, p.Own[0].X, p.Own[1].X), within(b.X+nearby, p.Own[0].X, p.Own[1].X)
	} else {
		a.Y, b.Y = within(a.Y-nearby, p.Own[0].Y, p.Own[1].Y), within(b.Y+nearby, p.Own[0].Y, p.Own[1].Y)
	}
	return a, b, true
}
