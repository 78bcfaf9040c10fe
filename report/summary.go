package report

import (
	"fmt"
	"strings"

	"lostair/diagnose"
	"lostair/report/show"
)

// summary is the verdict in one sentence.
func summary(r *Result) string {
	main, narrow, rows := Sorted(r.Faults)
	page := wrongPage(r)
	switch {
	case r.Unfinished:
		return unfinishedWords(r)
	case len(main) > 0 && page != "":
		return blame(main) + aside(narrow, rows) + ". " + page + "."
	case page != "" && r.Verdict != string(diagnose.Unclear):
		return "Nothing is broken that these readings can show" + aside(narrow, rows) + ". " + page + "."
	case len(main) > 0:
		return blame(main) + aside(narrow, rows) + "."
	case r.Instead != "":
		return fmt.Sprintf("Something is probably wrong (%s), and most likely it is no fault of the system. %s", show.Percent(r.Broken.Probability), r.Instead)
	case r.Verdict == string(diagnose.Unclear):
		return fmt.Sprintf("Something is probably wrong (%s), but these readings don't say what%s.", show.Percent(r.Broken.Probability), aside(narrow, rows))
	case len(narrow) > 0:
		return "Nothing is broken that these readings can show, but " + tooNarrow(narrow) + aside(nil, rows) + "."
	}
	return fmt.Sprintf("Nothing is wrong that these readings can show (%s)%s.", show.Percent(1-r.Broken.Probability), aside(nil, rows))
}

// blame names the faults of the system.
func blame(faults []Fault) string { return "The readings point to " + Blamed(faults) }

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
	ids := show.Each(narrow, func(f Fault) string { return f.Where })
	if len(ids) == 1 {
		return "duct " + ids[0] + " is too narrow for what its port needs"
	}
	if len(ids) > 4 {
		return fmt.Sprintf("%d ducts are too narrow for what their ports need", len(ids))
	}
	return "ducts " + show.Listed(ids) + " are too narrow for what their ports need"
}
