package drawing

// Band is the part of a drawing from one height to another, both where rows
// start: all that stands between them, and the pipes that pass.
func (d *Drawing) Band(top, bottom float64) *Drawing {
	out := &Drawing{Width: d.Width, Height: bottom - top, Lanes: d.Lanes, Outlet: d.Outlet}
	in := func(y float64) bool { return y >= top && y < bottom }
	for _, p := range d.Pipes {
		if first, last := p.Path[0].Y, p.Path[len(p.Path)-1].Y; first < bottom && last >= top {
			out.Pipes = append(out.Pipes, p)
		}
	}
	for _, l := range d.Labels {
		if in(l.At.Y) {
			out.Labels = append(out.Labels, l)
		}
	}
	for _, m := range d.Marks {
		if in(m.At.Y) {
			out.Marks = append(out.Marks, m)
		}
	}
	for _, b := range d.Boxes {
		if in(b.At.Y) {
			out.Boxes = append(out.Boxes, b)
		}
	}
	for _, l := range d.Leaders {
		if in(l[0].Y) {
			out.Leaders = append(out.Leaders, l)
		}
	}
	if d.Join != nil && d.Join.From.Y < bottom && d.Join.To.Y >= top {
		out.Join = d.Join
	}
	return out
}
