package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"lostair/diagnose/fault"
	"lostair/report/show"
)

// Kinds that are told apart from all other faults, by their names.
var (
	Undersized   = fault.Undersized.String()
	ReadingWrong = fault.ReadingWrong.String()
)

// Sorted parts the faults into those of the system, undersized ducts and
// wrong rows.
func Sorted(faults []Fault) (main, narrow, rows []Fault) {
	for _, f := range faults {
		switch f.Kind {
		case Undersized:
			narrow = append(narrow, f)
		case ReadingWrong:
			rows = append(rows, f)
		default:
			main = append(main, f)
		}
	}
	slices.SortStableFunc(main, func(a, b Fault) int { return cmp.Compare(b.Together, a.Together) })
	return main, narrow, rows
}

// Blamed is what readings point to.
func Blamed(faults []Fault) string {
	parts := show.Each(faults, func(f Fault) string {
		return fmt.Sprintf("%s (%s, %s)", f.Group(), show.Chance(f.Together), show.Percent(f.Together))
	})
	if len(parts) == 1 {
		return parts[0]
	}
	return fmt.Sprintf("%d faults: %s", len(parts), show.Listed(parts))
}

// Found names a fault, or the group that it is in, and its one chance.
func (f Fault) Found() string {
	return fmt.Sprintf("%s: %s (%s)", show.Title(f.Group()), show.Chance(f.Together), show.Percent(f.Together))
}

// WrongRowWords say what is wrong with a row, and what would fit.
func WrongRowWords(f Fault) string {
	s := f.Where
	if w := f.Row; w != nil {
		s = fmt.Sprintf("line %d of %s: %s %s with %s, written as %s", w.Line, FileName(w.File), w.Point, show.Quantity(w.Quantity), show.Gates(w.Open), strings.TrimSpace(w.Value+" "+w.Unit))
	}
	if f.Why != "" {
		s += ": " + f.Why
	}
	s += fmt.Sprintf(" (%s, %s).", show.Chance(f.Probability), show.Percent(f.Probability))
	switch {
	case f.Severity == nil:
	case f.HowBad == show.NothingFits:
		s += " " + show.Title(f.HowBad) + "."
	default:
		s += fmt.Sprintf(" %s (%s).", show.Title(f.HowBad), f.Severity.Span())
	}
	return s + " The result is made without it: take the reading again, or correct the row."
}

// Told says whether what to do names a zone anyway.
func Told(r *Result, zone string) bool {
	return slices.ContainsFunc(r.Fixes, func(f Fix) bool { return strings.Contains(f.Do, zone) })
}

// IfItIs says which of a group a severity is of.
func IfItIs(f Fault) string {
	if len(f.Alike) == 0 {
		return ""
	}
	return "if it is " + f.Name + ", "
}

// overlapFrom is a sum of probabilities that rounding alone doesn't give.
const overlapFrom = 1.02

// MostOthers is how many candidates are shown that are not asserted.
const MostOthers = 8

// Overlap says why chances add up to more than 100 %, where they do.
func Overlap(list []Candidate, more float64) string {
	for _, c := range list {
		more += c.Probability
	}
	if more < overlapFrom {
		return ""
	}
	return "The chances add up to more than 100 %, since several of these can be there at once."
}

// Several says that more than one fault of the system is asserted: what a fault's
// evidence is held against has the others in it.
func (r *Result) Several() bool {
	main, _, _ := Sorted(r.Faults)
	return len(main) > 1
}

// MostEvidence is how many readings and gains are shown of a fault.
const MostEvidence = 5

// Speaks says in words what the evidence shows.
func Speaks(ev []Evidence, several bool) string {
	var low, high []string
	for i, e := range ev {
		if i == MostEvidence {
			break
		}
		more := math.Abs(e.Measured) > math.Abs(e.Sound)
		switch {
		case more && !slices.Contains(high, e.Point):
			high = append(high, e.Point)
		case !more && !slices.Contains(low, e.Point):
			low = append(low, e.Point)
		}
	}
	var parts []string
	if len(low) > 0 {
		parts = append(parts, "too low at "+show.Listed(low))
	}
	if len(high) > 0 {
		parts = append(parts, "too high at "+show.Listed(high))
	}
	what := "a sound system; with the fault they fit."
	if several {
		what = "a system with the other faults alone; with this one they fit."
	}
	return "What speaks for it: readings " + strings.Join(parts, ", ") + " for " + what
}

// Asserted says whether c stands among the faults or what looks like them.
func Asserted(r *Result, c Candidate) bool {
	for _, f := range r.Faults {
		for _, x := range append([]Candidate{f.Candidate}, f.Alike...) {
			if x.Kind == c.Kind && x.Where == c.Where {
				return true
			}
		}
	}
	return false
}
