package legend

import (
	"fmt"
	"strings"

	"lostair/diagnose/duct"
	"lostair/diagnose/duct/keys"
	"lostair/diagnose/duct/trade"
	"lostair/readings/units"
)

// Usual is the table of what machines usually need.
func Usual() string {
	var b strings.Builder
	b.WriteString("What machines usually need; hood: what their own hoods lose as a multiple of the velocity pressure. check offers it where a port has no need or one far from it, by the words of its machine or id, as in machine: planer 12 in. No result is computed from it.\n")
	kind := ""
	for _, u := range trade.Usuals() {
		if u.Kind != kind {
			kind = u.Kind
			fmt.Fprintf(&b, "\n  %-17s hood %g to %g; ", kind, u.HoodLow, u.HoodHigh)
		} else {
			b.WriteString("; ")
		}
		fmt.Fprintf(&b, "%s (%s)", u.Needs(units.US), strings.TrimPrefix(u.Needs(units.Metric), "at least "))
		if u.To > 0 {
			fmt.Fprintf(&b, ", %s (%s)", u.Sizes(units.US), units.Format(u.To, units.Diameter, units.Metric))
		}
	}
	b.WriteString("\nOf the grinding and buffing wheel: OSHA 29 CFR 1910.94(b), tables G-4 and G-5 (read). All others: common practice, no source.\n")
	return b.String()
}

// How far a need may lie off what is usual before check says so.
const lessThanUsual, moreThanUsual = 0.8, 1.25

// UsualLines offer what machines usually need, where the file leaves a need out or
// has one that is far from it. No result is computed from it.
func UsualLines(sys *duct.System) []string {
	var out []string
	say := func(pos keys.Pos, what string) {
		out = append(out, fmt.Sprintf("%s:%d:%d: %s", sys.File, pos.Line, pos.Column, what))
	}
	for i := range sys.Ports {
		p := &sys.Ports[i]
		if p.Shares {
			continue // its machine speaks for it
		}
		what := p.Machine
		if what == "" {
			what = p.ID
		}
		for _, line := range []string{UsualLine(what, p.Need, sys.Units), hoodLine(what, p, sys.Units)} {
			if line != "" {
				say(p.Pos, fmt.Sprintf("port %q %s", p.ID, line))
			}
		}
	}
	for _, m := range sys.Machines {
		if line := UsualLine(m.ID, m.Need, sys.Units); line != "" {
			say(m.Pos, fmt.Sprintf("machine %q %s", m.ID, line))
		}
	}
	return out
}

// UsualLine is what is said of one need; "" if there is nothing to say.
func UsualLine(what string, need float64, s units.System) string {
	u, ok := trade.UsualOf(what, s)
	switch {
	case !ok:
	case need == 0:
		return fmt.Sprintf("has no need; %s (%s)", u.Says(s), u.Status)
	case need < lessThanUsual*u.Low || need > moreThanUsual*u.High:
		return fmt.Sprintf("needs %s, and %s (%s)", units.Format(need, units.Flow, s), u.Says(s), u.Status)
	}
	return ""
}

// hoodLine says so of an entry loss that is far from what such a machine's hood loses.
func hoodLine(what string, p *duct.Port, s units.System) string {
	loss := p.Loss
	if h, ok := trade.HoodNamed(p.Hood); ok {
		loss = h.Loss
	}
	u, ok := trade.UsualOf(what, s)
	if !ok || loss >= u.HoodLow/2 && loss <= 2*u.HoodHigh {
		return ""
	}
	return fmt.Sprintf("loses %.3g times the velocity pressure at its hood, and %s usually %g to %g times (%s)", loss, u.Named(s), u.HoodLow, u.HoodHigh, u.Status)
}
