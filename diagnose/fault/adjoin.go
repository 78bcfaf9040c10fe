package fault

import (
	"lostair/diagnose/duct"
)

// Adjoin says whether two ducts, by their index, are one or share an end; −1 is the
// collector.
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

// OneSort says whether two kinds are one, both let air in through a leak, or both
// hold it back in a branch.
func OneSort(a, b Kind) bool { return a == b || letsIn(a) && letsIn(b) || holdsBack(a) && holdsBack(b) }

// letsIn is whether a fault lets air in.
func letsIn(k Kind) bool { return k == Leak || k == GateLeaking }

// holdsBack is whether a fault holds the air of a branch back.
func holdsBack(k Kind) bool { return k == Blockage || k == GateRestricted }

// OfItsOwn is whether a fault is told apart from leaks and restrictions on its way:
// it is the collector's, or a duct that has changed.
func OfItsOwn(k Kind) bool { return k == FilterLoaded || k == FanWeak || k == Altered }

// Obstructs tells faults that hinder the air from those that let it in.
func Obstructs(k Kind) bool {
	return holdsBack(k) || k == FilterLoaded || k == Altered
}

// Exchangeable says whether one place may be put in place of another: both hinder
// the air or both let it in, and a duct that has changed stands for what is on it.
func Exchangeable(s *duct.System, a, b *Site) bool {
	if (a.Kind == Altered || b.Kind == Altered) && a.Duct != b.Duct {
		return false
	}
	return Adjoin(s, a.Duct, b.Duct) && Obstructs(a.Kind) == Obstructs(b.Kind)
}
