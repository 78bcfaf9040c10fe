package report

import (
	"fmt"
	"slices"
	"strings"

	"lostair/report/show"
)

// NextStep is a thing to read or look at next, with others that tell about as
// much of the same.
type NextStep struct {
	Next
	Or []string // the other places, in words
}

// asMuch is the share of a reading's worth from which another is said to tell
// as much.
const asMuch = 0.6

// NextSteps merges readings of one sort that tell about as much.
func NextSteps(list []Next) []NextStep {
	var out []NextStep
next:
	for _, n := range list {
		for i := range out {
			o := &out[i]
			if sameNext(o.Next, n) && n.Bits >= asMuch*o.Bits && n.Minutes <= o.Minutes/asMuch {
				o.Or = append(o.Or, elsewhere(o, n))
				continue next
			}
		}
		out = append(out, NextStep{Next: n})
	}
	return out
}

// sameNext says whether two are the same apart from their place and gates.
func sameNext(a, b Next) bool {
	if a.Quantity == "" || b.Quantity == "" {
		return a.Quantity == b.Quantity && a.Point != "" && b.Point != "" && lookFrame(a) == lookFrame(b)
	}
	return a.Quantity == b.Quantity && a.HoseOff == b.HoseOff && a.Why == b.Why
}

// lookFrame is what to look at, its place left out.
func lookFrame(n Next) string { return strings.Replace(n.Look, n.Point, "", 1) }

// elsewhere says where b is, beside a and what is named with it.
func elsewhere(a *NextStep, b Next) string {
	if a.Quantity == "" || a.Open == b.Open {
		return b.Point
	}
	if a.Point == b.Point && !slices.ContainsFunc(a.Or, func(s string) bool { return !strings.HasPrefix(s, "there ") }) {
		return "there with " + show.Gates(b.Open)
	}
	return b.Point + " with " + show.Gates(b.Open)
}

// Words say what to read or look at.
func (n NextStep) Words() string {
	s := NextWords(n.Next)
	if len(n.Or) == 0 {
		return s
	}
	places := strings.Join(n.Or, ", or at ")
	if n.Look != "" {
		return fmt.Sprintf("%s The same at %s tells as much.", s, show.Choose(n.Or))
	}
	return strings.ReplaceAll(fmt.Sprintf("%s; or at %s, which tells as much", s, places), "at there", "there")
}

// NextWords say what to read or look at.
func NextWords(n Next) string {
	if n.Look != "" {
		return n.Look
	}
	s := fmt.Sprintf("%s at %s, with %s", show.Title(show.Quantity(n.Quantity)), placeOf(n), show.Gates(n.Open))
	if n.Again {
		s = "Once more " + show.Lower(s)
	}
	if n.HoseOff != "" {
		s += fmt.Sprintf(" and the hose off the machine at %s", n.HoseOff)
	}
	return s
}

// placeOf is where to read.
func placeOf(n Next) string {
	if n.NewTap == nil {
		return n.Point
	}
	return fmt.Sprintf("a new tap, %s, %s %s from the upstream end of %s", n.Point, show.Shown(n.NewTap.At.Value), n.NewTap.At.Unit, n.NewTap.Duct)
}

// settles says in words how much a reading is expected to settle.
func settles(bits float64) string {
	switch {
	case bits > 0.8:
		return "settles most of what is open"
	case bits > 0.4:
		return "settles much of what is open"
	case bits > 0.1:
		return "settles some of what is open"
	}
	return "settles a little of what is open"
}

// NextWorth says why, and what it costs and brings.
func NextWorth(n Next) string {
	s := show.Title(n.Why)
	if s != "" && !strings.HasSuffix(s, ".") {
		s += "."
	}
	worth := settles(n.Bits)
	if n.Minutes > 0 {
		worth = fmt.Sprintf("About %s min; %s", show.Shown(n.Minutes), worth)
	}
	return strings.TrimSpace(s + " " + worth + ".")
}
