package diagnose

import (
	"fmt"
	"slices"
	"strings"

	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
)

// FoundNothing is what else reads like a restriction of one branch.
const FoundNothing = "If nothing is found there, see whether all is as wide as the system file says, and which gates stood open when it was read."

// Remedy is what to do about a fault and what looks the same, in the trade's
// words, and how much trouble it is. Nothing is asked that is not among them.
func Remedy(sys *duct.System, f *Fault) (do string, cost int) {
	switch f.Kind {
	case fault.Leak:
		if f.Where == "bin" && len(f.Alike) == 0 {
			return "Reseat the bin's lid and clamp, renew its gasket, and check the clear-view hose or drum under the cyclone for cracks.", costMinutes
		}
		return leakRemedy(f), costMinutes
	case fault.Blockage, fault.GateRestricted:
		return restrictionRemedy(sys, f)
	case fault.GateLeaking:
		if len(f.Alike) > 0 {
			return leakRemedy(f), costMinutes
		}
		return fmt.Sprintf("With the gate %s shut, hold a strip of paper to it; clean the slot, square the blade, add a brush or felt seal, or renew the gate.", f.Where), CostHour
	case fault.FilterLoaded:
		return "Clean the filter as its maker says (shake, or blow from the clean side, with a respirator and out of doors); renew it if the drop stays high.", CostHour
	case fault.FanWeak:
		return "With the power locked off look at belt, pulleys and wheel for slip and caked dust; have rotation, supply voltage and drive speed checked by a qualified person.", CostHour
	}
	return "", costParts
}

// leakRemedy is what to do where air may come in.
func leakRemedy(f *Fault) string {
	do := fmt.Sprintf("With all gates shut feel and listen %s", f.Zone)
	all := append([]fault.Candidate{f.Candidate}, f.Alike...)
	has := func(is func(fault.Candidate) bool) bool { return slices.ContainsFunc(all, is) }
	var mend []string
	if has(func(c fault.Candidate) bool { return c.Kind == fault.Leak && c.Where != "bin" }) {
		mend = append(mend, "seal seams and joins with foil tape or mastic, refasten a loose join")
	}
	if has(func(c fault.Candidate) bool { return c.Kind == fault.Leak && c.Where == "bin" }) {
		mend = append(mend, "reseat the bin's lid and renew its gasket")
	}
	if has(func(c fault.Candidate) bool { return c.Kind == fault.GateLeaking }) {
		mend = append(mend, "clean the gate's slot and renew its seal")
	}
	return do + "; " + strings.Join(mend, "; ") + "."
}

// restrictionRemedy asks what may hold the air back, the easiest first.
func restrictionRemedy(sys *duct.System, f *Fault) (do string, cost int) {
	var gates, hoods, hoses, pipes []string
	for _, c := range append([]fault.Candidate{f.Candidate}, f.Alike...) {
		d, isDuct := sys.DuctNamed(c.Where)
		switch {
		case c.Kind == fault.GateRestricted:
			gates = addPlace(gates, c.Where)
		case isDuct && sys.Ducts[d].Material == "flexible":
			hoses = addPlace(hoses, c.Where)
		case isDuct:
			pipes = addPlace(pipes, c.Where)
		default:
			hoods = addPlace(hoods, c.Where)
		}
	}
	if len(gates) == 1 && len(hoods)+len(hoses)+len(pipes) == 0 {
		return fmt.Sprintf("Open the gate %s to its stop; blow out the dust packed in its slot so that the blade travels fully.", gates[0]), costMinutes
	}
	var ask []string
	for _, q := range []struct {
		places []string
		what   string
	}{
		{gates, "is the gate %s open to its stop"},
		{hoods, "is the hood or grille of %s clogged"},
		{hoses, "is the hose %s kinked or packed with chips"},
		{pipes, "is there settled dust, an offcut or a rag in %s"},
	} {
		if len(q.places) > 0 {
			ask = append(ask, fmt.Sprintf(q.what, anyOf(q.places)))
		}
	}
	cost, easiest := costMinutes, ""
	if len(pipes) > 0 && len(ask) == 1 {
		cost = CostHour
	}
	if len(ask) > 1 {
		easiest = ", easiest first"
	}
	return fmt.Sprintf("With the fan locked off look%s: %s? Clear it.", easiest, strings.Join(ask, "; ")), cost
}

// anyOf is "a, b or c", of many the first.
func anyOf(ids []string) string { return joinedBy(ids, "or") }
