package readings

import (
	"time"
)

// DateOf is the day of a survey: its earliest row's, or, if no row has one, the
// date with which the name of its file begins.
func DateOf(s *Survey) (time.Time, bool) {
	first := ""
	for i := range s.Rows {
		if d := s.Rows[i].Date; d != "" && (first == "" || d < first) {
			first = d
		}
	}
	if first == "" {
		name := s.File
		if i := lastSlash(name); i >= 0 {
			name = name[i+1:]
		}
		first = name[:min(len(name), len(time.DateOnly))]
	}
	d, err := time.Parse(time.DateOnly, first[:min(len(first), len(time.DateOnly))])
	return d, err == nil
}

func lastSlash(s string) int {
	for i := len(s) - 1; i >= 0; i-- {
		if s[i] == '/' || s[i] == '\\' {
			return i
		}
	}
	return -1
}
