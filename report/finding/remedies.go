package finding

import (
	"fmt"
	"slices"
	"strings"

	"lostair/diagnose"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report/show"
)

// foundNothing is what else reads like a restriction of one branch.
const foundNothing = "If nothing is found there, see whether all is as wide as the system file says, and which gates stood open when it was read."

// Else says what to look at if nothing is found; "" if there is nothing more.
func Else(f diagnose.Fix) string {
	if len(f.For) > 0 && (f.For[0].Kind == fault.Blockage || f.For[0].Kind == fault.GateRestricted) {
		return foundNothing
	}
	return ""
}

// Hint names a smaller change that would do as well.
func Hint(h diagnose.Hint, small *diagnose.TooSmall) string {
	instead := "would do as well"
	if small != nil && !small.Meets {
		instead = "would be enough"
	}
	switch h {
	case diagnose.HalfTheHose:
		return "half the length of hose " + instead
	case diagnose.PipeForHose:
		return "smooth pipe in place of the hose " + instead
	case diagnose.EasyBends:
		return fmt.Sprintf("long-radius bends (%g diameters) along its run %s", diagnose.LongRadius, instead)
	}
	return ""
}

// Fix says what to do about faults that can't be told apart, the likeliest
// first, in the trade's words. Nothing is asked that is not among them.
func (c Words) Fix(f diagnose.Fix) string {
	if c.D.System == nil || len(f.For) == 0 {
		return ""
	}
	sys, all := c.D.System, f.For
	switch head := all[0]; head.Kind {
	case fault.Leak:
		if head.Where == readings.Bin && len(all) == 1 {
			return "Reseat the bin's lid and clamp, renew its gasket, and check the clear-view hose or drum under the cyclone for cracks."
		}
		return leakRemedy(sys, all)
	case fault.Blockage, fault.GateRestricted:
		return restrictionRemedy(sys, all)
	case fault.GateLeaking:
		if len(all) > 1 {
			return leakRemedy(sys, all)
		}
		return fmt.Sprintf("With the gate %s shut, hold a strip of paper to it; clean the slot, square the blade, add a brush or felt seal, or renew the gate.", head.Where)
	case fault.FilterLoaded:
		return "Clean the filter as its maker says (shake, or blow from the clean side, with a respirator and out of doors); renew it if the drop stays high."
	case fault.FanWeak:
		return "With the power locked off look at belt, pulleys and wheel for slip and caked dust; have rotation, supply voltage and drive speed checked by a qualified person."
	case fault.Undersized:
		if f.Small == nil {
			return fmt.Sprintf("No standard size of %s that fits there brings its port more: its run has to be shorter, or the fan stronger.", head.Where)
		}
		if f.Hint == diagnose.CutTheHose {
			return fmt.Sprintf("Cut %s to length, so that it hangs stretched out and not in folds: that is enough, with no wider duct.", show.Listed(f.Stretch))
		}
		return c.buy(*f.Small)
	}
	return ""
}

// leakRemedy is what to do where air may come in.
func leakRemedy(sys *duct.System, all []fault.Candidate) string {
	do := fmt.Sprintf("With all gates shut feel and listen %s", zone(sys, all))
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
func restrictionRemedy(sys *duct.System, all []fault.Candidate) string {
	var gates, hoods, hoses, pipes []string
	for _, c := range all {
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
		return fmt.Sprintf("Open the gate %s to its stop; blow out the dust packed in its slot so that the blade travels fully.", gates[0])
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
	easiest := ""
	if len(ask) > 1 {
		easiest = ", easiest first"
	}
	return fmt.Sprintf("With the fan locked off look%s: %s? Clear it.", easiest, strings.Join(ask, "; "))
}

// anyOf is "a, b or c", of many the first.
func anyOf(ids []string) string { return joinedBy(ids, "or") }

// buy says what to replace by what, and whether that is enough.
func (c Words) buy(t diagnose.TooSmall) string {
	size := show.WithUnit(show.Value(t.Buy, units.Diameter, c.U), units.Diameter.Symbol(c.U))
	if !t.Meets {
		return fmt.Sprintf("No standard size is enough for %s: %s in place of %s brings %s of the %s that it needs with %s. Its run has to be shorter, or the fan stronger.", t.Port, size, show.Listed(t.Ducts),
			show.Shown(show.Value(t.Then.Value, units.Flow, c.U)), show.WithUnit(show.Value(t.Need, units.Flow, c.U), units.Flow.Symbol(c.U)), show.Gates(t.Open.String()))
	}
	var do string
	switch d, ok := c.D.System.DuctNamed(t.Where); {
	case len(t.Ducts) > 1:
		do = fmt.Sprintf("Replace %s, one behind the other, with %s.", show.Listed(t.Ducts), size)
	case ok && c.D.System.Ducts[d].Material == "flexible":
		do = fmt.Sprintf("Replace the hose %s with one of %s.", t.Where, size)
	default:
		do = fmt.Sprintf("Replace %s by %s pipe.", strings.Join(t.Ducts, ""), size)
	}
	if s := t.Slow; s != nil {
		do += " " + Slow(s.Open.String(), s.Duct, show.AmountOf(s.Velocity, units.Velocity, c.U), show.AmountOf(s.Least, units.Velocity, c.U))
	}
	if c.D.Fan != nil { // guessed
		do = "Once you know what the fan gives: " + show.Lower(do)
	}
	return do
}

// Slow warns of dust that would settle in a duct in one setting of the gates: its air
// then has a velocity below the least that carries dust.
func Slow(open, duct string, velocity, least show.Amount) string {
	return fmt.Sprintf("But with %s the air in %s then moves at %s only, and needs %s to carry its dust.", show.Gates(open), duct,
		show.WithUnit(show.TwoFigures(velocity.Value), velocity.Unit), show.WithUnit(least.Value, least.Unit))
}
