package trial

import (
	"lostair/diagnose/trial/survey"
	"lostair/readings"
	"lostair/readings/units"
)

// Truth is what was really wrong, and what really flowed. Values are SI.
type Truth struct {
	Style    survey.Style
	Ports    int
	Readings int // rows of the survey
	Baseline bool
	Sound    bool // no fault but undersized drops
	Gates    []string
	Units    units.System
	Faults   []Fault
	Flows    []Flows // of every configuration of the survey, hoses on
}

// Fault is one true fault.
type Fault struct {
	Kind, Where string
	Severity    float64 // SI: m² of leaks, shares of blockages, gates and the fan, a multiple of the filter, m of undersized, the value that fits of a wrong row; NaN: none
	Along       float64 // of a leak or blockage in a duct: 0 upstream end .. 1 downstream end; else -1
	SNR         float64 // how far it moves the readings, in standard deviations of what is left open; 0 of undersized
	MaxShift    float64 // largest shift of one reading, in its own standard deviations
	Observable  bool    // SNR of at least 2

	Ducts     []string       // of undersized: those that count as right
	Port      string         // of undersized
	FlowShare float64        // of undersized: sound flow over need
	How       string         // of a wrong row: unit, sign, digits or gate
	Quantity  units.Quantity // of a wrong row
	Unit      string         // of a wrong row: as it is written
}

// Flows are the flows at the connected ports in one configuration, m³/s.
type Flows struct {
	Open  readings.Open
	Gates []string // open ones, in the system's order
	Ports []string // in the system's order
	Flow  []float64
}

// Main is whether a fault is of the kinds that are localised.
func (f *Fault) Main() bool { return f.Kind != Undersized && f.Kind != ReadingWrong }

// Mains is how many faults are of the kinds that are localised.
func (t *Truth) Mains() int {
	n := 0
	for i := range t.Faults {
		if t.Faults[i].Main() {
			n++
		}
	}
	return n
}
