package fault

import (
	"math"

	"lostair/diagnose/airflow"
	"lostair/diagnose/handbook"
)

// Variant is a fault at one definite spot. A place (a duct, say) may have
// several: a leak above its tap, below it, or at the join.
type Variant struct {
	Site   int // index into the sites
	Weight float64
	Spots  []Spot
	Kind   Kind
	Bore   float64       // of holes: the most that can be open there, m2
	When   Moment        // in which of two surveys, weighed as one, it is there; 0: in both
	own    SeverityPrior // of its severity, where it is not its kind's
	unit   float64       // of a change, which goes either way; 0: a fault
	from   float64       // of a port's change: what the port costs at the outset
}

// Spot is a coefficient that the fault changes, and the share of it.
type Spot struct {
	Slot  airflow.Slot
	Share float64
}

// Slope is the derivative of one coefficient by z.
type Slope struct {
	Slot airflow.Slot
	By   float64
}

// In is the variant at a moment.
func (v *Variant) In(m Moment) *Variant {
	x := *v
	x.When = m
	return &x
}

// SeverityPrior is the spread of a fault's severity before any reading:
// normal in the transformed severity z.
type SeverityPrior struct{ Mean, Sd float64 }

// Logit is ln p/(1−p).
func Logit(p float64) float64 { return math.Log(p / (1 - p)) }

// Logistic turns Logit back.
func Logistic(z float64) float64 { return 1 / (1 + math.Exp(-z)) }

// Common practice, no source; broad, so that the readings decide.
var Severities = [lastSearched + 1]SeverityPrior{
	Leak:           {Logit(0.04), 0.8},    // share of the most that can be open there
	Blockage:       {Logit(0.5), 0.7},     // share closed
	GateRestricted: {Logit(0.42), 0.7},    // share of travel open
	GateLeaking:    {math.Log(0.04), 0.7}, // share of the most that can be open there
	FilterLoaded:   {math.Log(1.8), 0.6},  // multiple less one
	FanWeak:        {Logit(0.22), 0.5},    // share of speed lost
}

// AlteredLeast is the share of its losses that a changed duct keeps at the least.
// Common practice, no source.
const AlteredLeast = 0.4

// Usual is the spread of a variant's severity before any reading.
func (v *Variant) Usual() SeverityPrior {
	if v.own.Sd > 0 {
		return v.own
	}
	return Severities[v.Kind]
}

// Severity turns z into the severity as the contract measures it, SI.
func (v *Variant) Severity(z float64) float64 {
	switch v.Kind {
	case Leak:
		return v.Bore * Logistic(z) // no hole is larger than its part
	case GateLeaking:
		return v.Bore * math.Exp(z)
	case Blockage, GateRestricted:
		return Logistic(z)
	case FilterLoaded:
		return 1 + math.Exp(z)
	case Altered:
		return math.Max(math.Exp(z), AlteredLeast)
	case FanWeak:
		return 1 - Logistic(z)
	}
	NoCase("Severity", v.Kind)
	return 0
}

// Amount is how much a severity does: what it adds to a coefficient, or the
// share by which it changes it.
func (v *Variant) Amount(z float64) float64 {
	x := v.Severity(z)
	switch v.Kind {
	case Leak, GateLeaking:
		return x
	case Blockage:
		return handbook.BlockageLoss(x)
	case GateRestricted:
		return handbook.GateLoss(x)
	case FilterLoaded, Altered:
		return x - 1
	case FanWeak:
		return 1 - x
	}
	NoCase("Amount", v.Kind)
	return 0
}

// Doing is the severity that does so many times what the middling one does.
func (v *Variant) Doing(times float64) float64 {
	sp := v.Usual()
	want, lo, hi := times*v.Amount(sp.Mean), sp.Mean-MostOff*sp.Sd, sp.Mean+MostOff*sp.Sd
	if v.Amount(lo) > v.Amount(hi) {
		lo, hi = hi, lo
	}
	for range 20 {
		if z := (lo + hi) / 2; v.Amount(z) < want {
			lo = z
		} else {
			hi = z
		}
	}
	return (lo + hi) / 2
}

// MostOff is how far from its mean a severity may lie to start a fit from, in
// standard deviations.
const MostOff = 2.5
