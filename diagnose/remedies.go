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
	var gate, hood, hose, pipe bool
	for _, c := range append([]fault.Candidate{f.Candidate}, f.Alike...) {
		d, isDuct := sys.DuctNamed(c.Where)
		switch {
		case c.Kind == fault.GateRestricted:
			gate = true
		case isDuct && sys.Ducts[d].Material == "flexible":
			hose = true
		case isDuct:
			pipe = true
		default:
			hood = true
		}
	}
	if gate && !hood && !hose && !pipe {
		return fmt.Sprintf("Open the gate %s to its stop; blow out the dust packed in its slot so that the blade travels fully.", f.Where), costMinutes
	}
	var ask []string
	for _, q := range []struct {
		is   bool
		what string
	}{
		{gate, "is the gate open to its stop"},
		{hood, "is the hood or its grille clogged"},
		{hose, "is the hose kinked or packed with chips"},
		{pipe, "is there settled dust, an offcut or a rag in the bends, joins and low runs"},
	} {
		if q.is {
			ask = append(ask, q.what)
		}
	}
	cost, easiest := costMinutes, ""
	if pipe && len(ask) == 1 {
		cost = CostHour
	}
	if len(ask) > 1 {
		easiest = ", easiest first"
	}
	return fmt.Sprintf("With the fan locked off search %s%s: %s? Clear it.", f.Zone, easiest, strings.Join(ask, ", ")), cost
}
