package diagnose

import (
	"fmt"
	"strings"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/weigh"
)

// Fragile is a prior with which, at half or twice what it is taken to be, the
// first answer is another.
type Fragile struct {
	Prior string  // what it is the prior of, in words
	By    float64 // half or twice
	Then  *fault.Candidate
}

// fragile lists by which priors the first answer changes.
func fragile(p *weigh.Posterior, r *Result) []Fragile {
	if p.Lead != nil || r.Instead != "" {
		return nil // the answer is not one of faults alone
	}
	groups := p.Groups()
	var out []Fragile
	for _, s := range p.Shifts(groups) {
		if s.Then == s.Now {
			continue
		}
		x := Fragile{Prior: priorWords(s.Prior), By: s.By}
		if s.Then >= 0 {
			c := Candidate(p, groups[s.Then].Head)
			x.Then = &c
		}
		out = append(out, x)
	}
	return out
}

func priorWords(x weigh.Prior) string {
	switch {
	case x.All:
		return "faults of every kind"
	case x.Row:
		return "wrong rows"
	case x.Unlisted:
		return "troubles on no list"
	}
	return x.Kind.String()
}

// fragileDoubt says it of a result; "" if the first answer stays what it is.
func fragileDoubt(list []Fragile) string {
	if len(list) == 0 {
		return ""
	}
	var parts []string
	for i, x := range list {
		if i == fragileShown {
			parts = append(parts, fmt.Sprintf("and %d more", len(list)-i))
			break
		}
		how := "half"
		if x.By > 1 {
			how = "twice"
		}
		then := "nothing is clear"
		if x.Then != nil {
			then = x.Then.Kind.String() + " at " + x.Then.Where + " comes first"
		}
		parts = append(parts, fmt.Sprintf("with %s %s as common %s", x.Prior, how, then))
	}
	return "The first answer is fragile, since it hangs on how common faults are taken to be: " + strings.Join(parts, "; ") + "."
}

// fragileShown is how many changes are named.
const fragileShown = 2
