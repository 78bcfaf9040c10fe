package drawing

import (
	"slices"

	"lostair/diagnose/duct"
)

// Folded is a system as an overview shows it: the ducts that lead to a mark, those one
// behind the other without a mark as one, and at each join one branch for all that hold
// none, named by fold from the number of its ports. Ducts keep their numbers, so that
// notes and badges of the whole hold for it.
func Folded(s *duct.System, marked func(duct int) bool, fold func(ports int) string) *duct.System {
	out := *s
	out.Ducts, out.Order = slices.Clone(s.Ducts), nil
	f := &folding{s: s, out: &out, marked: marked, fold: fold, shown: make([]bool, len(s.Ducts)), ports: make([]int, len(s.Ducts))}
	var roots []int
	for _, d := range slices.Backward(s.Order) {
		f.shown[d] = f.shown[d] || marked(d)
		if len(s.Ducts[d].Children) == 0 {
			f.ports[d] = 1
		}
		if into := s.Ducts[d].Into; into >= 0 {
			f.shown[into] = f.shown[into] || f.shown[d]
			f.ports[into] += f.ports[d]
		} else {
			roots = append(roots, d)
		}
	}
	slices.Sort(roots)
	f.legs(roots, duct.IntoCollector)
	return &out
}

type folding struct {
	s, out *duct.System
	marked func(int) bool
	fold   func(int) string
	shown  []bool // by duct: it or something upstream of it is marked
	ports  []int  // by duct: that breathe through it
}

// legs draws what meets in one place, and returns it.
func (f *folding) legs(all []int, into int) (out []int) {
	rest, n := -1, 0
	for _, d := range all {
		if f.shown[d] {
			out = append(out, f.leg(d, into))
			continue
		}
		n += f.ports[d]
		if rest < 0 {
			rest = d
		}
	}
	if rest >= 0 {
		x := &f.s.Ducts[rest]
		f.out.Ducts[rest] = duct.Duct{ID: f.fold(n), Into: into, Diameter: x.Diameter, Length: x.Length, Port: -1}
		f.out.Order = append(f.out.Order, rest)
		out = append(out, rest)
	}
	return out
}

// leg draws a duct that leads to a mark, together with those before the next mark, join of
// several that do, or port; it returns the last of them, which stands for all.
func (f *folding) leg(d, into int) int {
	first, n := f.s.Ducts[d].ID, 0
	for !f.marked(d) {
		next, ok := f.only(d)
		if !ok || f.ports[next] == 1 {
			break
		}
		n += f.ports[d] - f.ports[next]
		d = next
	}
	x := &f.out.Ducts[d]
	x.Into = into
	if x.ID != first {
		x.ID = first + " to " + x.ID
	}
	if n > 0 {
		x.ID += ", past " + f.fold(n)
	}
	f.out.Order = append(f.out.Order, d)
	x.Children = f.legs(f.s.Ducts[d].Children, d)
	return d
}

// only is the one duct that flows into another and leads to a mark.
func (f *folding) only(d int) (next int, ok bool) {
	n := 0
	for _, c := range f.s.Ducts[d].Children {
		if f.shown[c] {
			next = c
			n++
		}
	}
	return next, n == 1
}
