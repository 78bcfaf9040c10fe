package verified

import (
	"fmt"

	"lostair/diagnose/duct"
	"lostair/report"
	"lostair/report/show"
)

// An install is accepted in three stages: does the design itself meet its
// demands, was it built as designed, and which demands does it meet.

// designWords says whether the design itself meets its demands.
func designWords(v *Verification) string {
	var short []string
	slow := map[string]bool{}
	settings := map[string]bool{}
	for _, l := range v.Lines {
		switch {
		case l.Topic == "port-need" && l.ByDesign:
			short = append(short, l.Where)
		case l.Topic == "carrying":
			settings[l.Open] = true
			if l.ByDesign {
				slow[l.Open] = true
			}
		}
	}
	var parts []string
	if len(short) > 0 {
		parts = append(parts, show.Few(short)+" "+getWord(len(short))+" less than needed")
	}
	if len(slow) > 0 {
		parts = append(parts, fmt.Sprintf("the air is too slow for the dust somewhere in %d of %d gate settings", len(slow), len(settings)))
	}
	if len(parts) == 0 {
		return v.figures + " the design meets every demand that was judged."
	}
	return v.figures + " the design falls short, however well it is built: " + show.Listed(parts) + "."
}

// figuresOf says whose figures a design goes by.
func figuresOf(s *duct.System) string {
	if s.Collector.FanGuessed() {
		return "By what is guessed of its fan"
	}
	return "By its own figures"
}

func getWord(n int) string {
	if n == 1 {
		return "gets"
	}
	return "get"
}

// builtWords says what differs from the design, surest first.
func builtWords(v *Verification, r *report.Result) []string {
	out := []string{}
	for _, d := range v.deviations(r) {
		out = append(out, d.words())
	}
	return out
}
