package drawing

import "lostair/diagnose/duct"

var partNames = map[duct.Part]string{duct.Cyclone: "cyclone", duct.Fan: "fan", duct.Filter: "filter"}

// collector draws the parts that the air passes after the ducts, from left to
// right, and the bin under the cyclone.
func (l *layout) collector() {
	c := &l.sheet.Sys.Collector
	const top = 8
	room := l.m.boxes - 8 - 44 // an arrow and "room" at the end
	w := min(room/float64(len(c.Order))-10, 96)
	x := 8.0
	for _, p := range c.Order {
		l.part(partNames[p], Point{x, top}, w, l.m.box)
		if p == duct.Cyclone && c.Bin {
			l.part("bin", Point{x + w*0.28, top + l.m.box - 20}, w*0.72, 20)
		}
		x += w + 10
	}
	l.d.Outlet = Point{x, top + 14}
	l.label("room", "size", Point{x + 14, top + 18}, l.m.text, 40)
	l.y = top + l.m.box
	if l.m.beside {
		h := l.notes(l.sheet.Collector, 0, 2, l.m.box)
		l.y = max(l.y+8, h)
		return
	}
	text := l.m.left + l.m.thick
	l.y += l.notes(l.sheet.Collector, text, l.y, 4)
}

func (l *layout) part(name string, at Point, w, h float64) {
	l.d.Boxes = append(l.d.Boxes, Box{At: at, Width: w, Height: h, Part: name})
	y := at.Y + 18
	if name == "bin" {
		y = at.Y + 14
	}
	l.label(name, "part", Point{at.X + 7, y}, l.m.text, w-9)
}
