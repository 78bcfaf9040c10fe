package report

import (
	"fmt"
	"slices"
	"strings"

	"lostair/diagnose"
	"lostair/report/show"
)

func answer(r *Result) Answer {
	main, _, rows := Sorted(r.Faults)
	a := Answer{Broken: brokenWords(r, main), TooSmall: smallWords(r), Rows: rowsWords(rows), Written: writtenWords(r), Read: readWords(r)}
	for _, f := range main {
		a.Where = append(a.Where, f.Found())
	}
	if len(r.Fixes) > 0 {
		a.Do, a.Gain = r.Fixes[0].Do, GainWords(r.Fixes[0].Gains)
	}
	return a
}

// brokenWords say whether something is broken.
func brokenWords(r *Result, main []Fault) string {
	p := r.Broken.Probability
	switch {
	case r.Unfinished:
		return unfinishedWords(r)
	case len(main) > 0:
		for _, f := range main {
			p = max(p, f.Together)
		}
		return fmt.Sprintf("Something is broken: %s (%s).", show.Chance(p), show.Percent(p))
	case r.Instead != "":
		return fmt.Sprintf("Something is probably wrong (%s), most likely no fault of the system. %s", show.Percent(p), r.Instead)
	case r.Verdict == string(diagnose.Unclear):
		return fmt.Sprintf("Something is probably wrong (%s), but these readings don't say what.", show.Percent(p))
	}
	if wrongPage(r) != "" { // which is no fault of the system
		p = r.Faulty
	}
	return fmt.Sprintf("Nothing is broken that these readings can show (%s).", show.Percent(1-p))
}

// smallWords say whether something is too small by design.
func smallWords(r *Result) string {
	needs := slices.ContainsFunc(r.Ports, func(p Port) bool { return p.Need > 0 })
	_, narrow, _ := Sorted(r.Faults)
	switch {
	case !r.FlowsHold():
		return "Whether something is too small by design can't be said yet."
	case len(narrow) == 1:
		return fanBefore(r) + fmt.Sprintf("Too small by design: %s (%s, %s).", narrow[0].Where, show.Chance(narrow[0].Probability), show.Percent(narrow[0].Probability))
	case len(narrow) > 1:
		ids := show.Each(narrow, func(f Fault) string { return fmt.Sprintf("%s (%s)", f.Where, show.Percent(f.Probability)) })
		return fanBefore(r) + fmt.Sprintf("Too small by design: %s.", show.Few(ids))
	case !needs:
		return "Whether something is too small can't be said: the system file states no needs."
	}
	most := 0.0
	for _, c := range r.Candidates {
		if c.Kind == Undersized {
			most = max(most, c.Probability)
		}
	}
	return fmt.Sprintf("Nothing is too small by design (%s).", show.Percent(1-most))
}

// fanBefore says of a fan that is guessed that it comes before the ducts.
func fanBefore(r *Result) string {
	if r.Fan == nil {
		return ""
	}
	return r.FanFirst() + " "
}

// FanFirst says what a fan without a curve seems to give, and that no duct is to be
// bought before that is settled.
func (r *Result) FanFirst() string {
	return fmt.Sprintf("The fan seems to give at most %s (%s), and the system file has no curve for it: settle that before you buy duct.", show.WithUnit(r.Fan.MostAir.Value, r.Fan.MostAir.Unit), r.Fan.MostAir.Span())
}

func rowsWords(rows []Fault) string {
	switch len(rows) {
	case 0:
		return ""
	case 1:
		return "One reading looks wrong, and is left out."
	}
	return fmt.Sprintf("%d readings look wrong, and are left out.", len(rows))
}

// readWords say what to read next, or that enough is known.
func readWords(r *Result) string {
	if r.Unfinished {
		return "Nothing yet: let the work run to its end first."
	}
	if r.Enough.Yes {
		return fmt.Sprintf("You know enough (%s that it is something else).", inHundred(r.Enough.Risk))
	}
	steps := NextSteps(r.Next)
	if len(steps) == 0 {
		return "Nothing: no further reading would tell much more."
	}
	return strings.TrimSpace(steps[0].Words())
}
