package indicator

import (
	"fmt"
	"math"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/asbuilt"
)

// Indicator is something of the system that may change between surveys.
type Indicator struct {
	Kind  fault.Kind
	Where string // the zone's ducts, a port, "bin", "filter" or "fan"
	Ducts []int
	Zone  int // of a leak: its zone, of which it is one place; else -1
	spots []fault.Spot
	Unit  float64 // usual change: m² of a leak, K of an obstruction, share of the filter's drop, logarithm of the fan's speed
	from  float64 // of a port: its K in the reference
	Usual float64 // of the filter: what its state varies by from survey to survey, by the page
}

// How far a change lies within the usual, as standard deviations. They steer
// how what moves together is shared out, not what is flagged. Common practice, no source.
const (
	LeakChange     = 0.015 // share of the bore
	ObstructChange = 0.6   // K on the port's velocity pressure
	FilterChange   = 0.5   // share of the drop
	FanChange      = 0.02  // logarithm of the speed
)

// Change is an estimate of how far something has moved from the reference.
type Change struct {
	Value   float64
	Sd      float64 // posterior
	Fresh   float64 // standard deviation that is new in each survey, if nothing has changed
	Lasting float64 // standard deviation of what all surveys against this reference have in common
	None    bool    // the survey says nothing of it
}

// indicators lists what is tracked: leaks by zone, obstructions by port, filter and fan.
func indicators(m *airflow.Model, zones [][]int) []*Indicator {
	var out []*Indicator
	for i, z := range zones {
		out = append(out, leaksOf(m, z, i)...)
	}
	if m.Sys.Collector.Bin {
		out = append(out, &Indicator{Kind: fault.Leak, Where: "bin", Zone: len(zones), Unit: LeakChange * m.Position(airflow.BinNode).Bore,
			spots: []fault.Spot{{Slot: airflow.Slot{Kind: airflow.SlotLeak, Ix: airflow.BinNode}, Share: 1}}})
	}
	for p := range m.Sys.Ports {
		out = append(out, &Indicator{Kind: fault.Blockage, Zone: -1, Where: m.Sys.Ports[p].ID, Ducts: []int{m.Sys.Ports[p].Duct}, Unit: ObstructChange,
			spots: []fault.Spot{{Slot: airflow.Slot{Kind: airflow.SlotK, Ix: int32(m.PortSegment(p))}, Share: 1}}})
	}
	if m.Sys.Collector.Filter != nil {
		out = append(out, &Indicator{Kind: fault.FilterLoaded, Zone: -1, Where: "filter", Unit: FilterChange, Usual: filterSpread(m),
			spots: []fault.Spot{{Slot: airflow.Slot{Kind: airflow.SlotFilter}, Share: 1}}})
	}
	return append(out, &Indicator{Kind: fault.FanWeak, Zone: -1, Where: "fan", Unit: FanChange,
		spots: []fault.Spot{{Slot: airflow.Slot{Kind: airflow.SlotSpeed}, Share: 1}}})
}

// inAStep is how many usual changes the z of a change counts for, so that a fit may
// move it by nearly five in one step.
const inAStep = 4.0

// activeRidge keeps what is active within a hundred of its usual changes.
const activeRidge = 1e-4

// change is what a fit moves: drawn to nothing by the usual change or, if it is free,
// hardly at all.
func (x *Indicator) change(free bool) *fault.Variant {
	sd := 1 / inAStep
	if free {
		sd /= math.Sqrt(activeRidge)
	}
	return fault.Change(x.Kind, x.Unit*inAStep, x.from, sd, x.spots)
}

// apply changes coefficients by an amount, in usual changes.
func (x *Indicator) apply(c *airflow.Coefs, amount float64) {
	x.change(false).Apply(c, amount/inAStep)
}

// slopes are those of coefficients by a usual change; c has the amount applied.
func (x *Indicator) slopes(c *airflow.Coefs, amount float64) []fault.Slope {
	out := x.change(false).Slopes(c, amount/inAStep)
	for i := range out {
		out[i].By /= inAStep
	}
	return out
}

// Backwards says whether a change is one that a sound system can't make: less
// than no leak, a hood freer than free, a fan faster than its speed.
func (x *Indicator) Backwards(up bool) bool {
	switch x.Kind {
	case fault.Leak, fault.Blockage:
		return !up
	case fault.FanWeak:
		return up
	}
	return false
}

// along is the derivative of what has the gradient g by coefficients.
func along(slopes []fault.Slope, g *airflow.Coefs) float64 {
	var d float64
	for _, e := range slopes {
		d += *e.Slot.Of(g) * e.By
	}
	return d
}

// filterSpread is what a filter's state varies by from survey to survey, by the
// page or else as is usual; logarithm.
func filterSpread(m *airflow.Model) float64 {
	if v := m.Sys.Uncertainty.Filter; v > 0 {
		return v
	}
	return asbuilt.Spreads[airflow.FilterLoss].Own
}

// leaksOf are the places in a zone where a leak may be: nearer the upper or
// the lower end of each piece between taps.
func leaksOf(m *airflow.Model, z []int, zone int) []*Indicator {
	var out []*Indicator
	for _, d := range z {
		for _, g := range m.DuctSegments(d) {
			p := m.Position(g)
			for _, up := range []float64{0.75, 0.25} {
				out = append(out, &Indicator{Kind: fault.Leak, Where: zoneName(m, z), Ducts: z, Zone: zone, Unit: LeakChange * p.Bore, spots: []fault.Spot{
					{Slot: airflow.Slot{Kind: airflow.SlotLeak, Ix: int32(g)}, Share: up},
					{Slot: airflow.Slot{Kind: airflow.SlotLeak, Ix: int32(p.Parent)}, Share: 1 - up}}})
			}
		}
	}
	return out
}

// zoneName names a zone by its ducts.
func zoneName(m *airflow.Model, z []int) string {
	if len(z) > 3 {
		return fmt.Sprintf("%s and %d more", m.Sys.Ducts[z[0]].ID, len(z)-1)
	}
	s := ""
	for i, d := range z {
		if i > 0 {
			s += ", "
		}
		s += m.Sys.Ducts[d].ID
	}
	return s
}
