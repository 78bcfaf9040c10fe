package report

import (
	"fmt"
	"strings"

	"lostair/diagnose"
)

var (
	undersized   = diagnose.Undersized.String()
	readingWrong = diagnose.ReadingWrong.String()
)

// summary is the verdict in one sentence.
func summary(r *Result) string {
	main, narrow, rows := sorted(r.Faults)
	switch {
	case len(main) > 0:
		return blame(main) + aside(narrow, rows) + "."
	case r.Instead != "":
		return fmt.Sprintf("Something is probably wrong (%s), and most likely it is no fault of the system. %s", percent(1-r.Sound), r.Instead)
	case r.Verdict == string(diagnose.Unclear):
		return fmt.Sprintf("Something is probably wrong (%s), but these readings don't say what%s.", percent(1-r.Sound), aside(narrow, rows))
	case len(narrow) > 0:
		return "Nothing is broken that these readings can show, but " + tooNarrow(narrow) + aside(nil, rows) + "."
	}
	return fmt.Sprintf("Nothing is wrong that these readings can show (%s)%s.", percent(r.Sound), aside(nil, rows))
}

// sorted parts the faults into those of the system, undersized ducts and
// wrong rows.
func sorted(faults []Fault) (main, narrow, rows []Fault) {
	for _, f := range faults {
		switch f.Kind {
		case undersized:
			narrow = append(narrow, f)
		case readingWrong:
			rows = append(rows, f)
		default:
			main = append(main, f)
		}
	}
	return main, narrow, rows
}

// likeWords name a fault that others may look the same as.
func likeWords(f Fault) string {
	if len(f.Alike) == 0 {
		return f.Name
	}
	return f.Name + " or something that looks the same"
}

// blame names the faults of the system.
func blame(faults []Fault) string { return "The readings point to " + blamed(faults) }

// blamed is what readings point to.
func blamed(faults []Fault) string {
	few := len(faults) == 1 && len(faults[0].Alike) <= 2 // all can be named
	parts := each(faults, func(f Fault) string {
		s := f.Name
		switch n := len(f.Alike); {
		case n > 0 && few:
			s = choice(append([]Candidate{f.Candidate}, f.Alike...))
		case n > 0:
			s = likeWords(f)
		}
		return fmt.Sprintf("%s (%s, %s)", s, chance(f.Together), percent(f.Together))
	})
	if len(parts) == 1 {
		return parts[0]
	}
	return fmt.Sprintf("%d faults: %s", len(parts), listed(parts))
}

// choice is "a, b or c".
func choice(c []Candidate) string {
	names := each(c, func(x Candidate) string { return x.Name })
	last := len(names) - 1
	return strings.Join(names[:last], ", ") + " or " + names[last]
}

// aside adds what stands beside the main finding.
func aside(narrow, rows []Fault) string {
	var out []string
	if len(narrow) > 0 {
		out = append(out, tooNarrow(narrow))
	}
	switch len(rows) {
	case 0:
	case 1:
		out = append(out, "one reading looks wrong")
	default:
		out = append(out, fmt.Sprintf("%d readings look wrong", len(rows)))
	}
	if len(out) == 0 {
		return ""
	}
	return "; " + strings.Join(out, ", and ")
}

func tooNarrow(narrow []Fault) string {
	ids := each(narrow, func(f Fault) string { return f.Where })
	if len(ids) == 1 {
		return "duct " + ids[0] + " is too narrow for what its port needs"
	}
	if len(ids) > 4 {
		return fmt.Sprintf("%d ducts are too narrow for what their ports need", len(ids))
	}
	return "ducts " + listed(ids) + " are too narrow for what their ports need"
}

// few is listed, of many the first.
func few(s []string) string {
	if len(s) <= mostGates {
		return listed(s)
	}
	return fmt.Sprintf("%s and %d more", strings.Join(s[:mostGates], ", "), len(s)-mostGates)
}

// listed is "a, b and c".
func listed(s []string) string {
	if len(s) < 2 {
		return strings.Join(s, "")
	}
	return strings.Join(s[:len(s)-1], ", ") + " and " + s[len(s)-1]
}
