package figure

import (
	"fmt"

	"lostair/diagnose/duct"
	"lostair/readings/units"
)

// DuctSize is a duct's diameter and length.
func DuctSize(d *duct.Duct, u units.System) string {
	return Bore(d, u) + ", " + units.Format(d.Length, units.Length, u)
}

// Bore is a duct's diameter.
func Bore(d *duct.Duct, u units.System) string {
	return Section(d, u)
}

// Section is a duct's diameter or, of a rectangular one, its width by its height.
func Section(d *duct.Duct, u units.System) string {
	if d.Rectangular() {
		return Across(d, u)
	}
	return "⌀ " + Across(d, u)
}

// Across is as Section, within a sentence.
func Across(d *duct.Duct, u units.System) string {
	return across(d.Diameter, d.Width, d.Height, u)
}

func across(diameter, width, height float64, u units.System) string {
	if width > 0 {
		return duct.Sides(width, height, u)
	}
	return units.Format(diameter, units.Diameter, u)
}

// Mouth says where the air of a port is read whose air doesn't enter by the duct's end
// alone: in the machine's own port where the file gives its opening, since its area is
// the one that counts, or in the end of the duct that was unhooked. "": of any other.
func Mouth(s *duct.System, port int, hoseOff bool, u units.System) string {
	p := &s.Ports[port]
	d := &s.Ducts[p.Duct]
	switch o := p.Opening; {
	case hoseOff:
		return fmt.Sprintf("the open %s end of %s, unhooked from the machine", Across(d, u), d.ID)
	case o != nil:
		return fmt.Sprintf("the machine's own %s port, where %s hooks on", across(o.Diameter, o.Width, o.Height, u), d.ID)
	}
	return ""
}

// Unhooked says what to write where the end of the hose is read in place of the
// machine's own port; "" of a port without one.
func Unhooked(s *duct.System, port int, u units.System) string {
	p := &s.Ports[port]
	if p.Opening == nil {
		return ""
	}
	d := &s.Ducts[p.Duct]
	return fmt.Sprintf("if you unhook %s and read its %s end, write hose off", d.ID, Across(d, u))
}

// SharedDucts says which ducts more than one port breathes through.
func SharedDucts(s *duct.System) []bool {
	n := make([]int, len(s.Ducts))
	out := make([]bool, len(s.Ducts))
	for i := len(s.Order) - 1; i >= 0; i-- {
		d := s.Order[i]
		if len(s.Ducts[d].Children) == 0 {
			n[d] = 1
		}
		out[d] = n[d] > 1
		if into := s.Ducts[d].Into; into >= 0 {
			n[into] += n[d]
		}
	}
	return out
}
