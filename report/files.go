package report

import (
	"fmt"

	"lostair/report/show"
)

// ReadFrom says which readings the result is made from.
func ReadFrom(r *Result) string {
	s := fmt.Sprintf("%s from %s", show.Plural(r.Survey.Readings, "reading"), FileName(r.Survey.File))
	switch {
	case r.Survey.First == "":
	case r.Survey.First == r.Survey.Last:
		s += ", " + r.Survey.First
	default:
		s += ", " + r.Survey.First + " to " + r.Survey.Last
	}
	for i, b := range r.Baselines {
		if i == 0 {
			s += ", compared with when it was sound: "
		} else {
			s += ", "
		}
		s += FileName(b.File)
	}
	return s
}

// FileName is a file as the user named it, standard input in words.
func FileName(f string) string {
	if f == "-" {
		return "standard input"
	}
	return f
}

// NameOf is what a system is called: by its name, else by its file.
func NameOf(s System) string {
	if s.Name != "" {
		return s.Name
	}
	return FileName(s.File)
}
