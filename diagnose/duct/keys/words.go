package keys

import (
	"lostair/readings/problem"
)

// MaxLength is how long an id may be, in characters.
const MaxLength = 100

// Quote shows text from the file in a message: in quotes, in one line, cut if long.
func Quote(s string) string { return problem.Quote(s, 60) }

// Cut bounds what the search for a near name looks at.
func Cut(s string) string {
	if len(s) > MaxLength {
		return s[:MaxLength]
	}
	return s
}

// Suggest is what to write for a text that is none of the choices: the nearest of them, or any.
func Suggest(choices []string, text string) string {
	if near, ok := problem.Nearest(Cut(text), choices); ok {
		return "did you mean " + near + "?"
	}
	return "write " + problem.OrList(choices)
}

// Speller finds the id that was meant. It gives up after a bounded number of
// comparisons, so that a big file full of wrong ids is still reported soon.
type Speller struct {
	Near []string // the ids that there are
	done int
}

// Hint is what to write for an id that is not there; otherwise if none is near.
func (l *Speller) Hint(id, otherwise string) string {
	const most = 200_000
	if l.done += len(l.Near); l.done > most {
		return otherwise
	}
	if near, ok := problem.Nearest(Cut(id), l.Near); ok {
		return "did you mean " + Quote(near) + "?"
	}
	return otherwise
}
