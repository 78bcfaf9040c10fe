package tell

import (
	"fmt"
	"slices"
	"strings"

	"lostair/cmd/internal/bench/desk"
	"lostair/cmd/internal/runs"
	"lostair/diagnose/duct"
	"lostair/diagnose/duct/edit"
	"lostair/readings/units"
	"lostair/report/drawing"
)

// Picture is the drawing of the ducts, its numbers ready for the template.
type Picture struct {
	Width, Height string
	Pipes         []picturePipe
	Joins         []pictureLine
	Boxes         []pictureBox
	Labels        []pictureLabel
	Gates         []pictureLine
	Taps, Badges  []pictureLabel
	Mouths        []string
	Arrow         string
	Words         string // the drawing for who can't see it
}

type picturePipe struct {
	Path, Width, Core, Class string
	To, Name                 string // where a tap on it leads
	Hose                     bool
}
type pictureLine struct{ Path, Width string }
type pictureBox struct {
	X, Y, Width, Height, Class string
}
type pictureLabel struct{ X, Y, Text, Class, Shape, To string }

// Lit says how a place is marked on a drawing: by class and by number.
type Lit struct {
	Class, Badge string
	Spot         drawing.Spot // of the badge
}

// Draw draws the shop as far as it is described. to is where a tap on a run
// leads; marks are by id of duct or part of the collector.
func Draw(d *desk.Desk, to func(id string) string, chosen string, marks map[string][]Lit) *Picture {
	sys := sketch(d.Doc.Root, d.Units())
	if sys == nil {
		return nil
	}
	if chosen != "" {
		all := map[string][]Lit{}
		for k, v := range marks {
			all[k] = v
		}
		all[chosen] = append([]Lit{{Class: "chosen"}}, all[chosen]...)
		marks = all
	}
	return DrawSystem(sys, d.Units(), to, marks)
}

// DrawSystem draws a system that is whole.
func DrawSystem(sys *duct.System, u units.System, to func(id string) string, marks map[string][]Lit) *Picture {
	badges := func(i int) []drawing.Badge {
		var out []drawing.Badge
		for _, m := range marks[sys.Ducts[i].ID] {
			if m.Badge != "" {
				out = append(out, drawing.Badge{Number: m.Badge, Spot: m.Spot})
			}
		}
		return out
	}
	l := drawing.Layout(drawing.Sheet{Sys: sys, Badges: badges, Size: func(i int) string {
		if sys.Ducts[i].Diameter <= 0 {
			return ""
		}
		if d := &sys.Ducts[i]; d.Rectangular() {
			return units.FormatBare(d.Width, units.Diameter, u) + " × " + units.Format(d.Height, units.Diameter, u)
		}
		return "⌀ " + units.Format(sys.Ducts[i].Diameter, units.Diameter, u)
	}})
	p := &Picture{Width: num(l.Width), Height: num(l.Height)}
	for _, x := range slices.Backward(l.Pipes) { // what is nearer the collector covers the ends of what enters it
		id := sys.Ducts[x.Duct].ID
		pipe := picturePipe{Path: pathOf(x.Path), Width: num(x.Width + 2.6), Core: num(max(x.Width, 1)), Hose: x.Hose, Name: id}
		for _, m := range marks[id] {
			pipe.Class = strings.TrimSpace(pipe.Class + " " + m.Class)
		}
		if to != nil {
			pipe.To = to(id)
		}
		p.Pipes = append(p.Pipes, pipe)
	}
	if j := l.Join; j != nil {
		p.Joins = append(p.Joins, pictureLine{pathOf([]drawing.Point{j.From, j.To}), num(j.Width)})
	}
	for _, b := range l.Boxes {
		box := pictureBox{X: num(b.At.X), Y: num(b.At.Y), Width: num(b.Width), Height: num(b.Height)}
		for _, m := range marks[b.Part] {
			box.Class = m.Class
			if m.Badge != "" {
				p.Badges = append(p.Badges, badge(b.At.X+b.Width-12, b.At.Y+b.Height/2, m.Badge))
			}
		}
		p.Boxes = append(p.Boxes, box)
	}
	if len(l.Boxes) > 0 {
		p.Arrow = "M" + num(l.Outlet.X-8) + " " + num(l.Outlet.Y) + "h14m-5 -4l5 4l-5 4"
	}
	for _, x := range l.Labels {
		p.Labels = append(p.Labels, pictureLabel{X: num(x.At.X), Y: num(x.At.Y), Text: labelText(x.Text), Class: x.Class})
	}
	for _, m := range l.Marks {
		p.sign(m)
	}
	p.Words = inWords(sys)
	return p
}

func (p *Picture) sign(m drawing.Mark) {
	x, y := m.At.X, m.At.Y
	half := m.Size/2 + 3.5
	switch m.Kind {
	case drawing.TapMark:
		p.Taps = append(p.Taps, pictureLabel{X: num(x), Y: num(y)})
	case drawing.MouthMark:
		h := m.Size/2 + 3
		p.Mouths = append(p.Mouths, "M"+num(x-1)+" "+num(y-m.Size/2)+"l7 -3v"+num(2*h)+"l-7 -3z")
	case drawing.GateMark:
		a, b := drawing.Point{X: x, Y: y - half}, drawing.Point{X: x, Y: y + half}
		if !m.Along {
			a, b = drawing.Point{X: x - half, Y: y}, drawing.Point{X: x + half, Y: y}
		}
		p.Gates = append(p.Gates, pictureLine{Path: pathOf([]drawing.Point{a, b})})
	case drawing.BadgeMark:
		p.Badges = append(p.Badges, badge(x, y, m.Text))
	}
}

func badge(x, y float64, text string) pictureLabel {
	return pictureLabel{X: num(x), Y: num(y + 4), Text: text, Shape: "M" + num(x) + " " + num(y-11) + "l11 11l-11 11l-11 -11z"}
}

func num(v float64) string {
	return strings.TrimSuffix(fmt.Sprintf("%.1f", v), ".0")
}

func pathOf(ps []drawing.Point) string {
	var b strings.Builder
	for i, p := range ps {
		b.WriteString(string("ML"[min(i, 1)]) + num(p.X) + " " + num(p.Y))
	}
	return b.String()
}

// inWords tells the tree to who can't see it.
func inWords(s *duct.System) string {
	var parts []string
	for i := range s.Ducts {
		d := &s.Ducts[i]
		into := "the collector"
		if d.Into >= 0 {
			into = s.Ducts[d.Into].ID
		}
		t := d.ID + " flows into " + into
		if d.Port >= 0 && d.Port < len(s.Ports) {
			t += ", from " + s.Ports[d.Port].ID
		}
		parts = append(parts, t)
	}
	if len(parts) > 40 {
		parts = append(parts[:40], fmt.Sprintf("and %d more", len(s.Ducts)-40))
	}
	return strings.Join(parts, "; ") + "."
}

// openEnd is drawn where a run has nothing at its far end yet.
const openEnd = "open end"

// sketch makes a system to draw from a file that may lack much: what is missing
// is guessed, what can't hang anywhere is left out. Nil: there is nothing to draw.
func sketch(root edit.Value, u units.System) *duct.System {
	s := &duct.System{Units: u, Air: duct.Air{Standard: true}}
	s.Collector = duct.Collector{Inlet: 0.15, Curve: []duct.CurvePoint{{Flow: 0, Pressure: 2000}, {Flow: 1, Pressure: 100}}, Order: []duct.Part{duct.Fan}}
	c := root.Get("collector")
	for i, part := range []string{"cyclone", "fan", "filter"} {
		if part != "fan" && c.Get(part).Form != edit.Empty {
			drop := &duct.Drop{Pressure: 100, At: 0.5}
			if i == 0 {
				s.Collector.Cyclone = drop
			} else {
				s.Collector.Filter = drop
			}
		}
	}
	s.Collector.Order = nil
	if s.Collector.Cyclone != nil {
		s.Collector.Order = append(s.Collector.Order, duct.Cyclone)
	}
	s.Collector.Order = append(s.Collector.Order, duct.Fan)
	if s.Collector.Filter != nil {
		s.Collector.Order = append(s.Collector.Order, duct.Filter)
	}
	s.Collector.Bin = s.Collector.Cyclone != nil && c.Get("bin").Text != "" && c.Get("bin").Text != "false"
	hang(s, root.Get("ducts").Rows, u)
	if len(s.Ducts) == 0 {
		return nil
	}
	mouths(s, root.Get("ports").Rows)
	s.Finish() // its complaints stand beside the sentences
	return s
}

// hang adds the runs that lead to the collector, each after what it flows into.
func hang(s *duct.System, rows []edit.Value, u units.System) {
	at := map[string]int{"collector": duct.IntoCollector}
	amount := func(text string, d units.Dimension, otherwise float64) float64 {
		if v, err := units.Parse(text, d, u); err == nil && v.SI > 0 && v.SI < 1000 {
			return v.SI
		}
		return otherwise
	}
	for more := true; more && len(s.Ducts) < 2000; {
		more = false
		for _, r := range rows {
			id := r.Get("id").Text
			into, ok := at[r.Get("into").Text]
			if _, there := at[id]; !ok || there || id == "" {
				continue
			}
			size, _ := SizeOf(ValueIn(r, "diameter").Text, u)
			if size <= 0 || size > 10 {
				size = 0.1
			}
			d := duct.Duct{ID: id, Into: into, Straight: true, Port: -1, Material: "spiral",
				Diameter: size, Length: amount(r.Get("length").Text, units.Length, 1)}
			if r.Get("material").Text == "flexible" {
				d.Material = "flexible"
			}
			if _, _, sides := runs.SidesOf(ValueIn(r, "diameter").Text); sides {
				d.Width, d.Height = amount(r.Get("width").Text, units.Diameter, size), amount(r.Get("height").Text, units.Diameter, size)
			}
			if e := r.Get("enters").Text; e != "" && e != "straight" {
				d.Straight, d.Angle = false, 0.7
			}
			d.Gate, _ = GateOf(r.Get("gate"))
			for _, t := range r.Get("taps").Keys {
				d.Taps = append(d.Taps, duct.Tap{ID: t.Key, Distance: min(amount(t.Value.Text, units.Length, 0), d.Length)})
			}
			at[id] = len(s.Ducts)
			s.Ducts, more = append(s.Ducts, d), true
		}
	}
}

// mouths adds the machines, and an open end to each run that leads nowhere.
func mouths(s *duct.System, rows []edit.Value) {
	feeds := make([]bool, len(s.Ducts))
	for _, d := range s.Ducts {
		if d.Into >= 0 {
			feeds[d.Into] = true
		}
	}
	for i, d := range s.Ducts {
		if feeds[i] {
			continue
		}
		p := duct.Port{ID: fmt.Sprintf("%s %d", openEnd, i), Duct: i, Loss: 1}
		for _, r := range rows {
			if r.Get("duct").Text == d.ID && r.Get("id").Text != "" {
				p.ID = r.Get("id").Text
			}
		}
		s.Ports = append(s.Ports, p)
	}
}

func labelText(s string) string {
	if strings.HasPrefix(s, openEnd) {
		return openEnd
	}
	return s
}
