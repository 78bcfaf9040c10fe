package pages

import (
	"fmt"

	"lostair/readings/problem"
)

// Chip is an answer by one tap.
type Chip struct {
	Value, Text, Note string
	Chosen            bool
}

// Typed is an answer by typing.
type Typed struct {
	Value, Unit, Label string
	Number             bool
}

// Part is one of several questions on a screen.
type Part struct {
	Name, Ask, Hint string
	Chips           []Chip
	Typed           *Typed
}

// Suspect is what may be broken.
type Suspect struct {
	N, Name, Chance string
	Share           float64
	Where, Kind     string
	Members         []Suspect // of a group: what it may be, with shares of its chance
}

// Telling is a problem of a file as a page says it.
type Telling struct {
	Place, What, Do string
	Warning         bool
}

// Told are the problems of a file for a page, the first twenty.
func Told(list problem.List) []Telling {
	var out []Telling
	for i, p := range list {
		if i == 20 {
			out = append(out, Telling{What: fmt.Sprintf("%d more", len(list)-i)})
			break
		}
		t := Telling{Place: p.File, What: p.What, Do: p.Do, Warning: p.Warning}
		if p.Line > 0 {
			t.Place = fmt.Sprintf("%s, line %d", p.File, p.Line)
		}
		out = append(out, t)
	}
	return out
}
