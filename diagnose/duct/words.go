package duct

import (
	"math"
	"strconv"
	"strings"
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
	return "write " + orList(choices)
}

func orList(s []string) string {
	if len(s) == 1 {
		return s[0]
	}
	return strings.Join(s[:len(s)-1], ", ") + " or " + s[len(s)-1]
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

// brief writes six significant digits at most, without an exponent.
func brief(v float64) string {
	v, _ = strconv.ParseFloat(strconv.FormatFloat(v, 'g', 6, 64), 64)
	return decimal(v)
}

func decimal(v float64) string {
	if a := math.Abs(v); a > 0 && (a < 1e-9 || a >= 1e15) {
		return strconv.FormatFloat(v, 'g', -1, 64) // hundreds of noughts say nothing
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}
