package readings

import (
	"lostair/readings/dates"
	"lostair/readings/units"
)

// loader reads one file and gathers what is wrong with it.
type loader struct {
	problems
	sys       units.System
	complaint string
	sep       rune
	dates     dates.Order
	noDate    []noDate // of rows whose date can't be read
	broken    []Row
	looks     []Row
	air       []Row
}

// noDate is a date that can't be read in the order of its file, and where it stands.
type noDate struct {
	line, column int
	text         string
	month, day   string // what it is with the month and with the day first; "": no date
}
