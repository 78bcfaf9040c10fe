package fault

import (
	"math"

	"lostair/diagnose/airflow"
)

// Change is a variant for what drifts either way, as a chart follows it, and is no
// fault: its z is the change in so many units, 0 before any reading with standard
// deviation sd. A unit is m² of a leak, K of a blockage, a share of the filter's drop,
// the logarithm of the fan's speed. What bounds a blockage from below is what the port
// costs at the outset, from.
func Change(kind Kind, unit, from, sd float64, spots []Spot) *Variant {
	return &Variant{Kind: kind, Spots: spots, Weight: 1, own: SeverityPrior{0, sd}, unit: unit, from: from}
}

// change applies a change to a coefficient.
func (v *Variant) change(p *float64, share, z float64) {
	switch v.Kind {
	case Leak:
		*p += z * v.unit * share
	case Blockage:
		less, _ := above(z*v.unit*share, v.from)
		*p += less
	case FilterLoaded, FanWeak:
		*p *= v.Keeps(z)
	default:
		NoCase("change", v.Kind)
	}
}

// above is a change that leaves something of what there was, and its slope: it bends to
// the bound smoothly, or a fit would not find its way along it.
func above(by, from float64) (change, slope float64) {
	if by >= -from/2 {
		return by, 1
	}
	slope = math.Exp(2*by/from + 1)
	return from/2*slope - from, slope
}

// changeSlopes differentiates change; c has it applied.
func (v *Variant) changeSlopes(c *airflow.Coefs, z float64) []Slope {
	out := make([]Slope, len(v.Spots))
	for i, sp := range v.Spots {
		d := v.unit
		switch v.Kind {
		case Leak:
			d *= sp.Share
		case Blockage:
			_, slope := above(z*v.unit*sp.Share, v.from)
			d *= sp.Share * slope
		case FilterLoaded: // in proportion to its drop, so readings are nearly linear in it
			_, slope := above(z*v.unit, 1)
			d *= slope * *sp.Slot.Of(c) / v.Keeps(z)
		case FanWeak:
			d *= *sp.Slot.Of(c)
		default:
			NoCase("changeSlopes", v.Kind)
		}
		out[i] = Slope{sp.Slot, d}
	}
	return out
}

// Keeps is the factor on what the filter or the fan was: a weak fan's speed is the
// fault's, whatever it was before.
func (v *Variant) Keeps(z float64) float64 {
	switch {
	case v.Kind == FilterLoaded && v.unit > 0:
		by, _ := above(z*v.unit, 1)
		return 1 + by
	case v.Kind == FilterLoaded:
		return v.Severity(z)
	case v.Kind == FanWeak && v.unit > 0:
		return math.Exp(z * v.unit)
	case v.Kind == FanWeak:
		return 0
	}
	return 1
}
