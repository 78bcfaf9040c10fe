package fault

import (
	"math"

	"lostair/diagnose/airflow"
	"lostair/diagnose/handbook"
)

// Deltas is what a fault of typical severity adds to its coefficients.
func (v *Variant) Deltas(c *airflow.Coefs) []Slope {
	x := v.Severity(v.Usual().Mean)
	out := make([]Slope, len(v.Spots))
	for i, sp := range v.Spots {
		d := x * sp.Share
		switch v.Kind {
		case Leak, GateLeaking:
		case Blockage:
			d = handbook.BlockageLoss(x)
		case GateRestricted:
			d = handbook.GateLoss(x)
		case FilterLoaded:
			d = *sp.Slot.Of(c) * (x - 1)
		case FanWeak:
			d = x - *sp.Slot.Of(c)
		case Altered:
			d = sp.Share * (x - 1)
		default:
			NoCase("Deltas", v.Kind)
		}
		out[i] = Slope{sp.Slot, d}
	}
	return out
}

// LessBad orders severities of a kind.
func LessBad(k Kind, a, b float64) bool {
	if k == GateRestricted || k == FanWeak {
		return a > b
	}
	return a < b
}

// Smallest turns a share of the typical fault's effect into a severity; false
// if even a very bad fault would have less effect.
func (v *Variant) Smallest(c *airflow.Coefs, share float64) (float64, bool) {
	typical := v.Severity(v.Usual().Mean)
	switch v.Kind {
	case Leak:
		return typical * share, typical*share < v.Bore
	case GateLeaking:
		left := *v.Spots[0].Slot.Of(c) + typical*share // what it leaves open as built included
		return left, left < v.Bore
	case FilterLoaded:
		return 1 + (typical-1)*share, share < 20
	case FanWeak:
		return 1 - (1-typical)*share, (1-typical)*share < 0.9
	case Blockage:
		k := handbook.BlockageLoss(typical) * share
		return bisect(func(x float64) float64 { return handbook.BlockageLoss(x) - k }, 0.01, 0.97)
	case GateRestricted:
		k := handbook.GateLoss(typical) * share
		if k > handbook.GateLoss(0.03) {
			return 0, false
		}
		return bisect(func(x float64) float64 { return k - handbook.GateLoss(x) }, 0.03, 0.99)
	}
	NoCase("Smallest", v.Kind)
	return 0, false
}

// bisect finds the root of a rising function; false if it lies above.
func bisect(f func(float64) float64, lo, hi float64) (float64, bool) {
	if f(hi) < 0 {
		return hi, false
	}
	for range 60 {
		if m := (lo + hi) / 2; f(m) < 0 {
			lo = m
		} else {
			hi = m
		}
	}
	return (lo + hi) / 2, true
}

// How far the published loss of a restriction or of a half-closed gate may lie
// from that of the one in the duct, in the logarithm: it widens what is said of
// the severity, not of the flow. That of a gate holds blades with a round and with
// a straight edge: 2.06 and 4.0 at half travel, 17 and 53 at a quarter. A
// restriction is sharp-edged by the file formats; common practice, no source.
const (
	LawSpread     = 0.2
	GateLawSpread = 0.5
)

// LawVariance is what that adds to the variance of a severity's z.
func LawVariance(k Kind, z float64) float64 {
	law := lawOf(k, z)
	if law == 0 {
		return 0
	}
	spread := LawSpread
	if k == GateRestricted {
		spread = GateLawSpread
	}
	return spread / law * spread / law
}

// lawOf is the slope of the logarithm of the loss by z; 0 where the contract
// itself defines the loss.
func lawOf(k Kind, z float64) float64 {
	const e = 0.01
	a, b := Logistic(z-e), Logistic(z+e)
	switch k {
	case GateRestricted:
		return math.Abs(math.Log(handbook.GateLoss(b)/handbook.GateLoss(a))) / (2 * e)
	case Blockage:
		return math.Abs(math.Log(handbook.BlockageLoss(b)/handbook.BlockageLoss(a))) / (2 * e)
	}
	return 0
}
