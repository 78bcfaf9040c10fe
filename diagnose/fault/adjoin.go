package fault

import (
	"lostair/diagnose/duct"
)

func Adjoin(s *duct.System, a, b int) bool {
	if a == b {
		return true
	}
	if a < 0 {
		a, b = b, a
	}
	if b < 0 {
		return s.Ducts[a].Into == duct.IntoCollector
	}
	return s.Ducts[a].Into == b || s.Ducts[b].Into == a || s.Ducts[a].Into == s.Ducts[b].Into
}

// Obstructs tells faults that hinder the air from those that let it in.
func Obstructs(k Kind) bool { return k == Blockage || k == GateRestricted || k == FilterLoaded }
