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
