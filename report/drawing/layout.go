package drawing

import (
	"cmp"
	"math"
	"slices"

	"lostair/diagnose/duct"
)

// stop is a duct whose row is still to be laid out.
type stop struct {
	duct  int
	from  int     // lane it comes from
	keeps bool    // keeps its lane
	top   float64 // where its join lies
	pipe  int     // index into pipes of what it flows into, -1: the collector
}

type layout struct {
	sheet Sheet
	t     *tree
	m     measures
	d     Drawing
	y     float64
	stack []stop
	big   float64 // widest diameter
	small float64
	right float64 // where the furthest label ends
}

func (l *layout) diameters() {
	l.big, l.small = 0, math.Inf(1)
	for i := range l.sheet.Sys.Ducts {
		d := l.sheet.Sys.Ducts[i].Diameter
		l.big, l.small = max(l.big, d), min(l.small, d)
	}
}

// thickness of a pipe on the page: in proportion to the diameter, unless the
// narrowest would all but vanish.
func (l *layout) thickness(d int) float64 {
	return max(l.m.thick*l.sheet.Sys.Ducts[d].Diameter/l.big, l.m.thin)
}

// legs puts what meets in one place on the stack, first row on top.
func (l *layout) legs(legs []int, lane int, top float64, pipe int) {
	for i := len(legs) - 1; i >= 0; i-- {
		l.stack = append(l.stack, stop{legs[i], lane, i == len(legs)-1, top, pipe})
	}
	if pipe < 0 && len(legs) > 1 {
		p := Point{l.m.x(lane), top}
		l.d.Join = &Join{From: p, To: p, Width: l.m.thick}
	}
}

// leave is the path from the join to where a row begins: down the lane, then
// slantwise as a branch enters a main. side is how far it goes to the side.
// Legs that meet in one join leave one below the other, so what they flow into
// is drawn out to the last but one.
func (l *layout) leave(s stop, side, y float64) []Point {
	x := l.m.x(s.from)
	slant := y - side
	if !s.keeps {
		l.drawOut(s.pipe, slant+l.m.thin)
		return []Point{{x, slant}, {x + side, y}}
	}
	if side == 0 {
		return []Point{{x, l.end(s)}}
	}
	return []Point{{x, l.end(s)}, {x, slant}, {x + side, y}}
}

func (l *layout) drawOut(pipe int, y float64) {
	if pipe >= 0 {
		path := l.d.Pipes[pipe].Path
		path[len(path)-1].Y = max(path[len(path)-1].Y, y)
	} else if l.d.Join != nil {
		l.d.Join.To.Y = max(l.d.Join.To.Y, y)
	}
}

// end is where the leg that keeps the lane takes over.
func (l *layout) end(s stop) float64 {
	if s.pipe >= 0 {
		path := l.d.Pipes[s.pipe].Path
		return path[len(path)-1].Y
	}
	if l.d.Join != nil {
		return l.d.Join.To.Y
	}
	return s.top
}

// trunkRow lays out a duct that more than one port breathes through: it runs
// down its lane, its name and notes beside it.
func (l *layout) trunkRow(s stop) {
	d := s.duct
	lane := l.t.lane[d]
	x := l.m.x(lane)
	var path []Point
	if s.keeps {
		path = l.leave(s, 0, l.y)
	} else {
		l.y += 4
		path = l.leave(s, l.m.lane, l.y+l.m.lane)
		l.y += l.m.lane
	}
	top := l.y
	text := x + max(l.m.thick, l.m.badge)/2 + 9
	l.name(d, text, l.nameEnd(text), l.y+12, true)
	height := l.notes(l.noteList(d), text, l.y, l.m.labelRow+2)
	height = max(height, l.marksRoom(d), 28)
	l.y += height
	l.add(Pipe{Duct: d, Path: append(path, Point{x, l.y}), Width: l.thickness(d),
		Own: [2]Point{{x, top + 3}, {x, l.y - 3}}})
	l.legs(l.t.legs[d], lane, l.y, len(l.d.Pipes)-1)
}

func (l *layout) nameEnd(text float64) float64 {
	if l.m.beside {
		return l.m.notes - 8
	}
	return l.m.width - 2
}

// marksRoom is how long a pipe must be to hold its badges.
func (l *layout) marksRoom(d int) float64 {
	return float64(len(l.badges(d)))*(l.m.badge+2) + 8
}

// portRow lays out the ducts between the last join and a port: across the
// page, the port at the end.
func (l *layout) portRow(s stop) {
	chain := l.t.chain(s.duct)
	y := l.y + l.m.labelRow + l.m.pipeRow/2
	side := min(12, l.m.lane*0.6)
	path := l.leave(s, side, y)
	left := l.m.x(s.from) + l.m.lane*0.8
	piece := (l.m.mouth - left) / float64(len(chain))
	var notes []Note
	for i, d := range chain {
		a, b := Point{left + piece*float64(i), y}, Point{left + piece*float64(i+1), y}
		if i > 0 {
			path = []Point{a}
		}
		l.name(d, a.X+3, b.X-4, l.y+10, false)
		l.add(Pipe{Duct: d, Path: append(path, b), Width: l.thickness(d), Own: [2]Point{a, b}})
		notes = append(notes, l.noteList(d)...)
	}
	l.port(chain[len(chain)-1], y)
	l.y += l.notes(notes, l.m.x(s.from)+l.m.lane*0.8+3, l.y, l.m.labelRow+l.m.pipeRow+3)
}

// port names the port at the end of a row.
func (l *layout) port(d int, y float64) {
	p := l.sheet.Sys.Ducts[d].Port
	if p < 0 {
		return
	}
	l.d.Marks = append(l.d.Marks, Mark{At: Point{l.m.mouth, y}, Duct: d, Kind: MouthMark, Text: l.sheet.Sys.Ports[p].ID, Along: true, Size: l.thickness(d)})
	size := l.m.text + 1
	l.label(l.sheet.Sys.Ports[p].ID, "port", Point{l.m.name, y + 4}, size, l.m.nameEnd-l.m.name)
}

// notes writes notes beside or below what starts at y and takes up head, and
// returns the height of the row.
func (l *layout) notes(list []Note, x, y, head float64) float64 {
	size := l.m.text
	if l.m.beside {
		at := y + 13
		for i, n := range list {
			l.label(n.Text, n.Class, Point{l.m.notes, at + float64(i)*l.m.noteRow}, size, l.m.width-l.m.notes-2)
		}
		if len(list) > 0 {
			l.d.Leaders = append(l.d.Leaders, [2]Point{{l.m.notes - 6, y + 3}, {l.m.notes - 6, y + 3 + float64(len(list))*l.m.noteRow}})
		}
		return max(head+2, float64(len(list))*l.m.noteRow+4) + l.m.gap
	}
	for i, n := range list {
		l.label(n.Text, n.Class, Point{x, y + head + 11 + float64(i)*l.m.noteRow}, size, l.m.width-x-2)
	}
	return head + float64(len(list))*l.m.noteRow + l.m.gap
}

func (l *layout) noteList(d int) []Note {
	if l.sheet.Notes == nil {
		return nil
	}
	return l.sheet.Notes(d)
}

func (l *layout) badges(d int) []Badge {
	if l.sheet.Badges == nil {
		return nil
	}
	return l.sheet.Badges(d)
}

// name writes a duct's id, and its size behind it if there is room.
func (l *layout) name(d int, x, end, y float64, trunk bool) {
	id := l.sheet.Sys.Ducts[d].ID
	class, size := "duct", l.m.text-1
	if trunk {
		class, size = "trunk", l.m.text+1
	}
	l.label(id, class, Point{x, y}, size, end-x)
	if l.sheet.Size == nil {
		return
	}
	if trunk {
		size *= boldness
	}
	x += textWidth(id, size) + 6
	for _, of := range []func(int) string{l.sheet.Size, l.sheet.Short} {
		if of == nil {
			continue
		}
		if t := of(d); t != "" && textWidth(t, l.m.text-1) <= end-x {
			l.label(t, "size", Point{x, y}, l.m.text-1, end-x)
			return
		}
	}
}

func (l *layout) label(text, class string, at Point, size, room float64) {
	if strong(class) {
		size *= boldness
	}
	cut := cutTo(text, size, room)
	if cut == "" {
		return
	}
	l.right = max(l.right, at.X+textWidth(cut, size)+4)
	n := Label{At: at, Text: cut, Class: class}
	if cut != text {
		n.Full = text
	}
	l.d.Labels = append(l.d.Labels, n)
}

// add draws a pipe with what sits on it.
func (l *layout) add(p Pipe) {
	d := &l.sheet.Sys.Ducts[p.Duct]
	p.Hose, p.Into = d.Material == "flexible", d.Into
	l.d.Pipes = append(l.d.Pipes, p)
	along := p.Own[0].Y == p.Own[1].Y
	at := func(share float64) Point { // from the upstream end
		return Point{p.Own[1].X + share*(p.Own[0].X-p.Own[1].X), p.Own[1].Y + share*(p.Own[0].Y-p.Own[1].Y)}
	}
	for _, t := range d.Taps {
		l.d.Marks = append(l.d.Marks, Mark{At: at(tapShare(d, t)), Duct: p.Duct, Kind: TapMark, Along: along, Size: p.Width})
	}
	if d.Gate != "" {
		l.d.Marks = append(l.d.Marks, Mark{At: at(gateShare(p, d.GateDown)), Duct: p.Duct, Kind: GateMark, Along: along, Size: p.Width})
	}
	l.setBends(p, at, along)
	l.setBadges(p, at, along)
}

// mostBends is how many bends of a duct are drawn.
const mostBends = 4

// setBends spreads a duct's bends over the first third of its stretch, clear of
// badges, with no regard to where they are: the system file doesn't say.
func (l *layout) setBends(p Pipe, at func(float64) Point, along bool) {
	n := 0
	for _, f := range l.sheet.Sys.Ducts[p.Duct].Fittings {
		if f.Elbow {
			n += max(f.Count, 1)
		}
	}
	n = min(n, mostBends)
	for i := range n {
		share := 0.12 + 0.2*(float64(i)+0.5)/float64(n)
		l.d.Marks = append(l.d.Marks, Mark{At: at(share), Duct: p.Duct, Kind: BendMark, Along: along, Size: p.Width})
	}
}

// tapShare keeps a tap off both ends of its duct, where gates and joins are drawn.
func tapShare(d *duct.Duct, t duct.Tap) float64 {
	return min(max(t.Distance/d.Length, 0.2), 0.85)
}

// gateShare sets a gate a little off the end of its duct that it sits at.
func gateShare(p Pipe, down bool) float64 {
	n := math.Hypot(p.Own[1].X-p.Own[0].X, p.Own[1].Y-p.Own[0].Y)
	share := min(7/max(n, 1), 0.3)
	if down {
		return 1 - share
	}
	return share
}

// setBadges sets a duct's numbers, as many as have room: what sits at the gate or the
// port there, the rest spread over the stretch. Where they would meet they move apart.
func (l *layout) setBadges(p Pipe, at func(float64) Point, along bool) {
	list := l.badges(p.Duct)
	n := math.Hypot(p.Own[1].X-p.Own[0].X, p.Own[1].Y-p.Own[0].Y)
	room := l.m.badge + 2
	if fit := int(n / room); len(list) > fit {
		list = list[:fit]
	}
	loose := 0
	for _, b := range list {
		if b.Spot == Along {
			loose++
		}
	}
	type set struct {
		Badge
		far float64 // from the upstream end
	}
	var out []set
	k := 0
	for _, b := range list {
		x := set{Badge: b}
		switch b.Spot {
		case AtGate:
			x.far = n * gateShare(p, l.sheet.Sys.Ducts[p.Duct].GateDown)
		case AtPort:
			x.far = 0
		default:
			x.far = n * (1 - (float64(k)+0.5)/float64(loose))
			k++
		}
		out = append(out, x)
	}
	slices.SortStableFunc(out, func(a, b set) int { return cmp.Compare(a.far, b.far) })
	for i := 1; i < len(out); i++ {
		out[i].far = max(out[i].far, out[i-1].far+room)
	}
	most := n
	for i := len(out) - 1; i >= 0; i-- {
		out[i].far = min(out[i].far, most)
		most = out[i].far - room
	}
	for _, x := range out {
		l.d.Marks = append(l.d.Marks, Mark{At: at(x.far / max(n, 1)), Duct: p.Duct, Kind: BadgeMark, Text: x.Number, Spot: x.Spot, Along: along, Size: l.m.badge})
	}
}
