package guided

import (
	"fmt"
	"strings"

	"lostair/diagnose/fault"
	"lostair/diagnose/next"
	"lostair/diagnose/round"
	"lostair/readings/units"
	"lostair/report"
	"lostair/report/show"
)

// Means says in a line what a row means by itself; "" where there is nothing to say.
func Means(m round.Meaning, u units.System) string {
	r := &m.Row
	if r.Look != "" {
		return fmt.Sprintf("%s at %s: %s.", show.Title(strings.ReplaceAll(r.What(), "_", " ")), r.Point, r.Typed)
	}
	d := r.Quantity.Dimension()
	head := fmt.Sprintf("%s shows %s, and a sound system %s", r.Point, units.Format(r.Value, d, u), span(m.Sound.Low, m.Sound.High, d, u))
	thing := "air"
	switch {
	case r.Quantity == units.PressureDrop:
		thing = "drop"
	case d == units.Pressure && r.Quantity != units.VelocityPressure:
		thing = "suction"
	}
	switch m.Off {
	case 0:
		return head + ": as it should."
	case 1:
		return head + ": more " + thing + "."
	case 2:
		return head + ": far more " + thing + "."
	case -1:
		return head + ": less " + thing + "."
	}
	return head + ": far less " + thing + "."
}

// Doubts says what may have slipped, as a question.
func Doubts(d round.Doubt, q *round.Question, u units.System) string {
	would := ""
	if d.Row != nil {
		would = strings.TrimSpace(d.Row.Typed + " " + d.Row.Unit)
	}
	open := Open(q.Row.Open.String())
	switch d.Slip {
	case round.SignSlip:
		return fmt.Sprintf("Is the sign right? %s would fit.", would)
	case round.UnitSlip:
		return fmt.Sprintf("Is the unit right? %s would fit.", would)
	case round.FactorSlip:
		return fmt.Sprintf("Is the decimal point right? %s would fit.", would)
	case round.DigitsSlip:
		return fmt.Sprintf("Are two digits swapped? %s would fit.", would)
	case round.OtherGate:
		return fmt.Sprintf("That is what %s shows with only %s open: do the gates stand right (%s)?", q.Row.Point, d.What, open)
	case round.AlsoOpen:
		return fmt.Sprintf("That is what %s shows with %s open too: is %s shut?", q.Row.Point, d.What, d.What)
	case round.ShutGate:
		return fmt.Sprintf("That is what %s shows with %s shut: is %s open?", q.Row.Point, d.What, d.What)
	case round.OtherTap:
		return fmt.Sprintf("That is what %s shows: are you at %s?", d.What, q.Row.Point)
	case round.Unlikely:
		return "Nothing that can be wrong here would show that. Is it right?"
	}
	return show.Title(d.What) + "."
}

// Suspect is what the readings so far point to.
type Suspect struct {
	Name   string // with its chance
	Chance float64
}

// Chance is a probability as people say it.
func Chance(p float64) string {
	switch {
	case p >= 0.99:
		return "over 99 in 100"
	case p < 0.01:
		return "under 1 in 100"
	}
	return fmt.Sprintf("%.0f in 100", 100*p)
}

// mostSuspects is how many suspects are listed, leastChance from which chance on.
const (
	mostSuspects = 3
	leastChance  = 0.05
)

// Suspects lists what is asserted or, if nothing is, the likeliest.
func Suspects(r *report.Result) []Suspect {
	var out []Suspect
	found, _, _ := report.Sorted(r.Faults)
	for i, f := range found {
		x := Suspect{f.Name + ": " + Chance(f.Together), f.Together}
		if len(r.Answer.Where) == len(found) {
			x.Name = r.Answer.Where[i]
		}
		out = append(out, x)
	}
	if len(out) > 0 {
		return out
	}
	for _, c := range r.Candidates {
		if len(out) == mostSuspects || c.Probability < leastChance {
			break
		}
		if c.Kind == fault.Undersized.String() || c.Kind == fault.ReadingWrong.String() {
			continue // no fault to look for
		}
		out = append(out, Suspect{"perhaps " + c.Name + ": " + Chance(c.Probability), c.Probability})
	}
	return out
}

// mayBe is the chance of a fault from which it is said that there may be one though
// none shows. Own choice.
const mayBe = 0.15

// openRisk is the chance that the first thing to do is not right from which it is not
// said that it is enough. Own choice.
const openRisk = 0.25

// Enough says that it is enough, and what then. missed is the port that is said to be
// weak if nothing was read there; else "".
func Enough(e next.Enough, r *report.Result, missed string) string {
	if e.Act == nil && missed != "" {
		return fmt.Sprintf("Nothing shows that is to be mended, but nothing was read at %s, which is said to be weak: what keeps the air from %[1]s may well not show elsewhere. Read its air, or the suction on its way, before you trust this.", missed)
	}
	if e.Act == nil && e.Risk > mayBe {
		return fmt.Sprintf("That is enough for now: nothing shows that is to be mended, though something may be (%s).", Chance(e.Risk))
	}
	if e.Act == nil {
		return fmt.Sprintf("That is enough: nothing is to be mended (%s that something is).", Chance(e.Risk))
	}
	lead, sure := "That is enough: more readings", Chance(e.Risk)+" that it is something else"
	if e.Risk > openRisk {
		lead = "That is as far as these readings go: more"
	}
	if e.Risk > 0.5 {
		sure = Chance(1-e.Risk) + " that it is right"
	}
	s := fmt.Sprintf("%s would hardly change what to do first (%s).", lead, sure)
	if r.Answer.Do != "" {
		s += " Do first: " + strings.TrimSpace(r.Answer.Do+" "+r.Answer.Gain)
	}
	return s
}

// leastBetter is the chance from which a repair is called better than before: the
// likelier of the two. Own choice.
const leastBetter = 0.5

// Proved says what a repair has brought.
func Proved(p *round.Proved, c round.Complaint, u units.System) string {
	better := p.Improved >= leastBetter
	s := fmt.Sprintf("Better than before: %s.", Chance(p.Improved))
	if !better {
		s = fmt.Sprintf("It is no better than before (%s that it is).", Chance(p.Improved))
	}
	if x, ok := p.Best(c); ok {
		if now := show.IntervalOf(x.After, units.Flow, u); now != nil {
			before := now.Shown(show.Value(x.Before.Value, units.Flow, u))
			if better {
				s += fmt.Sprintf(" %s gets %s (%s) in place of %s %s, %s that it is more.", show.Title(x.Port), now.Mid(), now.Span(), before, now.Unit, Chance(x.More))
			} else {
				s += fmt.Sprintf(" %s gets %s (%s) %s now, and got %s before.", show.Title(x.Port), now.Mid(), now.Span(), now.Unit, before)
			}
		}
		if x.Need > 0 {
			s += fmt.Sprintf(" It needs %s.", units.FormatBare(x.Need, units.Flow, u))
		}
	}
	if !better {
		s += " Look again: what was to be mended may still be as it was, or the fault may be another."
	}
	return s
}

// betterWords is that in the log of repairs.
func betterWords(p *round.Proved) string {
	if p.Improved < leastBetter {
		return "no better than before (" + Chance(p.Improved) + " that it is): look again"
	}
	return "better than before: " + Chance(p.Improved)
}
