package drawing

// leastNotes is the room that notes get though they need less, so that a
// drawing of few words does not come out in giant letters.
const leastNotes = 190

// Layout draws a system.
func Layout(sh Sheet) *Drawing {
	l := &layout{sheet: sh, t: newTree(sh.Sys), m: narrow}
	if sh.Wide {
		l.m = wide
	}
	l.m = l.m.fit(l.t.lanes)
	l.d.Width, l.d.Lanes = l.m.width, l.t.lanes
	l.diameters()
	l.collector()
	l.legs(l.t.roots, 0, l.y, -1)
	for len(l.stack) > 0 {
		s := l.stack[len(l.stack)-1]
		l.stack = l.stack[:len(l.stack)-1]
		l.d.Rows = append(l.d.Rows, l.y)
		if l.t.leaf(s.duct) {
			l.portRow(s)
		} else {
			l.trunkRow(s)
		}
	}
	l.d.Height = l.y + 4
	if sh.Wide {
		l.d.Width = min(max(l.right, l.m.notes+leastNotes), l.m.width)
	}
	return &l.d
}
