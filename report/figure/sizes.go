package figure

import (
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
		return units.FormatBare(d.Width, units.Diameter, u) + " x " + units.Format(d.Height, units.Diameter, u)
	}
	return "⌀ " + units.Format(d.Diameter, units.Diameter, u)
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
