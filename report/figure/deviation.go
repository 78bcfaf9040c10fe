package figure

import (
	"lostair/diagnose"
	"lostair/readings/units"
	"lostair/report/show"
)

// Deviation says how a reading lies to what a sound system would give, in
// steps that can be shown by colour, by sign and by word.
type Deviation int8

const (
	Unread Deviation = iota
	FarLess
	Less
	Same
	More
	FarMore
)

var Deviations = [...]struct{ Class, sign, word string }{
	Unread:  {"unread", "", "not read"},
	FarLess: {"far-less", "▼▼", "far less"},
	Less:    {"less", "▼", "less"},
	Same:    {"same", "≈", "as expected"},
	More:    {"more", "▲", "more"},
	FarMore: {"far-more", "▲▲", "far more"},
}

// Class is the style of its mark.
func (v Deviation) Class() string { return Deviations[v].Class }

// Sign is a mark that tells it without colour.
func (v Deviation) Sign() string { return Deviations[v].sign }

// Word says it.
func (v Deviation) Word() string { return Deviations[v].word }

// Drift is how many standard deviations a reading lies above what is expected,
// counted so that more suction, more air and a larger drop are above.
func Drift(c diagnose.Check) float64 {
	if !(c.Sigma > 0) {
		return 0
	}
	z := (c.Measured - c.Expected) / c.Sigma
	if c.Reading.Quantity == units.StaticPressure {
		z = -z
	}
	return show.Finite(z)
}

// DeviationOf is the deviation of so many standard deviations, as Drift counts them.
func DeviationOf(z float64) Deviation {
	switch {
	case z <= -show.FarOffAt:
		return FarLess
	case z <= -show.OffAt:
		return Less
	case z >= show.FarOffAt:
		return FarMore
	case z >= show.OffAt:
		return More
	}
	return Same
}

// ofWhat completes "less" and "more".
func ofWhat(q units.Quantity) string {
	switch q {
	case units.StaticPressure, units.Suction:
		return "suction"
	case units.PressureDrop:
		return "drop"
	}
	return "air"
}

// Said is a deviation in words: "less suction".
func (v Deviation) Said(q units.Quantity) string {
	if v == Same || v == Unread {
		return v.Word()
	}
	return v.Word() + " " + ofWhat(q)
}
