package report

import (
	"fmt"
	"slices"
	"strings"
)

// nextStep is a thing to read or look at next, with others that tell about as
// much of the same.
type nextStep struct {
	Next
	Or []string // the other places, in words
}

// asMuch is the share of a reading's worth from which another is said to tell
// as much.
const asMuch = 0.6

// nextSteps merges readings of one sort that tell about as much.
func nextSteps(list []Next) []nextStep {
	var out []nextStep
next:
	for _, n := range list {
		for i := range out {
			o := &out[i]
			if sameNext(o.Next, n) && n.Bits >= asMuch*o.Bits && n.Minutes <= o.Minutes/asMuch {
				o.Or = append(o.Or, elsewhere(o, n))
				continue next
			}
		}
		out = append(out, nextStep{Next: n})
	}
	return out
}

// sameNext says whether two are the same but for their place and gates.
func sameNext(a, b Next) bool {
	if a.Quantity == "" || b.Quantity == "" {
		return a.Quantity == b.Quantity && a.Point != "" && b.Point != "" && lookFrame(a) == lookFrame(b)
	}
	return a.Quantity == b.Quantity && a.HoseOff == b.HoseOff && a.Why == b.Why
}

// lookFrame is what to look at, its place left out.
func lookFrame(n Next) string { return strings.Replace(n.Look, n.Point, "", 1) }

// elsewhere says where b is, beside a and what is named with it.
func elsewhere(a *nextStep, b Next) string {
	if a.Quantity == "" || a.Open == b.Open {
		return b.Point
	}
	if a.Point == b.Point && !slices.ContainsFunc(a.Or, func(s string) bool { return !strings.HasPrefix(s, "there ") }) {
		return "there with " + gates(b.Open)
	}
	return b.Point + " with " + gates(b.Open)
}

// words say what to read or look at.
func (n nextStep) words() string {
	s := nextWords(n.Next)
	if len(n.Or) == 0 {
		return s
	}
	places := strings.Join(n.Or, ", or at ")
	if n.Quantity == "" {
		return fmt.Sprintf("%s The same at %s tells as much.", s, choose(n.Or))
	}
	return strings.ReplaceAll(fmt.Sprintf("%s; or at %s, which tells as much", s, places), "at there", "there")
}

// choose is "a, b or c".
func choose(s []string) string {
	if len(s) < 2 {
		return strings.Join(s, "")
	}
	return strings.Join(s[:len(s)-1], ", ") + " or " + s[len(s)-1]
}
