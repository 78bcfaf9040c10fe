package observe

import (
	"fmt"
	"sort"
	"strings"

	"lostair/diagnose/airflow"
	"lostair/readings/problem"
)

func Unknown(file string, line, col int, what, id string, known []string) problem.Problem {
	p := problem.Problem{File: file, Line: line, Column: col, What: fmt.Sprintf("there is no %s %q in the system file", what, id)}
	sort.Strings(known)
	if do, ok := problem.Joined(id); ok && (what == "gate" || what == "port") {
		p.Do = do
		return p
	}
	switch near, ok := problem.Nearest(id, known); {
	case ok:
		p.Do = fmt.Sprintf("did you mean %q?", near)
	case len(known) == 0:
		p.Do = fmt.Sprintf("the system file has no %ss", what)
	case len(known) <= 24:
		p.Do = "known are " + strings.Join(known, ", ")
	default:
		p.Do = fmt.Sprintf("known are %s and %d more", strings.Join(known[:12], ", "), len(known)-12)
	}
	return p
}

func portIDs(m *airflow.Model) []string {
	var out []string
	for _, p := range m.Sys.Ports {
		out = append(out, p.ID)
	}
	return out
}
