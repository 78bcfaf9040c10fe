package report

import (
	"lostair/diagnose"
	"lostair/readings/units"
)

// deviation says how a reading lies to what a sound system would give, in
// steps that can be shown by colour, by sign and by word.
type deviation int8

const (
	unread deviation = iota
	farLess
	less
	same
	more
	farMore
)

// A reading is off if a sound system gives one like it in less than 5 cases of
// 100, and far off at twice that distance.
const (
	offAt    = 1.96
	farOffAt = 2 * offAt
)

var deviations = [...]struct{ class, sign, word string }{
	unread:  {"unread", "", "not read"},
	farLess: {"far-less", "▼▼", "far less"},
	less:    {"less", "▼", "less"},
	same:    {"same", "≈", "as expected"},
	more:    {"more", "▲", "more"},
	farMore: {"far-more", "▲▲", "far more"},
}

func (v deviation) Class() string { return deviations[v].class }
func (v deviation) Sign() string  { return deviations[v].sign }
func (v deviation) Word() string  { return deviations[v].word }

// drift is how many standard deviations a reading lies above what is expected,
// counted so that more suction, more air and a larger drop are above.
func drift(c diagnose.Check) float64 {
	if !(c.Sigma > 0) {
		return 0
	}
	z := (c.Measured - c.Expected) / c.Sigma
	if c.Reading.Quantity == units.StaticPressure {
		z = -z
	}
	return finite(z)
}

func deviationOf(z float64) deviation {
	switch {
	case z <= -farOffAt:
		return farLess
	case z <= -offAt:
		return less
	case z >= farOffAt:
		return farMore
	case z >= offAt:
		return more
	}
	return same
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

// said is a deviation in words: "less suction".
func (v deviation) said(q units.Quantity) string {
	if v == same || v == unread {
		return v.Word()
	}
	return v.Word() + " " + ofWhat(q)
}
