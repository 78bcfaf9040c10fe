package fault

import (
	"lostair/readings/units"
)

// kindRow is what is fixed about a kind of fault.
type kindRow struct {
	name string
	dim  units.Dimension
	what string
}

var kinds = [...]kindRow{
	Leak:           {"leak", units.Area, "open area of the hole"},
	Blockage:       {"blockage", units.Share, "share of the bore closed"},
	GateRestricted: {"gate-restricted", units.Share, "share of its travel that is open"},
	GateLeaking:    {"gate-leaking", units.Area, "open area left when it is shut"},
	FilterLoaded:   {"filter-loaded", units.Multiple, "drop as a multiple of the clean drop"},
	FanWeak:        {"fan-weak", units.Share, "running speed as share of the curve's"},
	Undersized:     {"undersized", units.Diameter, "diameter that would do"},
	ReadingWrong:   {"reading-wrong", units.Number, "value that would fit"},
	Altered:        {"altered", units.Multiple, "losses as a multiple of what they were"},
}

// String is the kind's name in the result.
func (k Kind) String() string { return kinds[k].name }

// Dimension is that of the kind's severity; a wrong reading has its quantity's.
func (k Kind) Dimension() units.Dimension { return kinds[k].dim }

// Measure says how the kind's severity is measured.
func (k Kind) Measure() string { return kinds[k].what }

// Kind is a kind of fault, by the names of the result.
type Kind uint8

const (
	Leak Kind = iota
	Blockage
	GateRestricted
	GateLeaking
	FilterLoaded
	FanWeak
	Undersized
	ReadingWrong
)
