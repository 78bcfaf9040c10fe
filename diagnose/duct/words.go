package duct

import (
	"strconv"
	"unicode/utf8"

	"lostair/readings/problem"
)

// maxLength is how long an id may be, in characters.
const maxLength = 100

// quote shows text from the file in a message: in quotes, in one line, cut if long.
func quote(s string) string {
	const most = 60
	if utf8.RuneCountInString(s) > most {
		s = string([]rune(s)[:most]) + "…"
	}
	return strconv.Quote(s)
}

// cut bounds what the search for a near name looks at.
func cut(s string) string {
	if len(s) > maxLength {
		return s[:maxLength]
	}
	return s
}

func choose(choices []string, text string) string {
	if near, ok := problem.Nearest(cut(text), choices); ok {
		return "did you mean " + near + "?"
	}
	return "write " + problem.OrList(choices)
}

// speller finds the id that was meant. It gives up after a bounded number of
// comparisons, so that a big file full of wrong ids is still reported soon.
type speller struct {
	near []string
	done int
}

func (l *speller) hint(id, otherwise string) string {
	const most = 200_000
	if l.done += len(l.near); l.done > most {
		return otherwise
	}
	if near, ok := problem.Nearest(cut(id), l.near); ok {
		return "did you mean " + quote(near) + "?"
	}
	return otherwise
}
