package fault

import (
	"math"

	"lostair/diagnose/airflow"
	"lostair/diagnose/handbook"
)

// Apply changes the coefficients as the fault would.
func (v *Variant) Apply(c *airflow.Coefs, z float64) {
	if v.unit > 0 {
		for _, sp := range v.Spots {
			v.change(sp.Slot.Of(c), sp.Share, z)
		}
		return
	}
	x := v.Severity(z)
	for _, sp := range v.Spots {
		p := sp.Slot.Of(c)
		switch v.Kind {
		case Leak:
			*p += sp.Share * x
		case Blockage:
			*p += handbook.BlockageLoss(x)
		case GateRestricted:
			*p += handbook.GateLoss(x)
		case GateLeaking:
			*p = math.Max(*p, 0) + x
		case FilterLoaded:
			*p *= x
		case FanWeak:
			*p = x
		case Altered:
			*p += sp.Share * (x - 1)
		default:
			NoCase("Apply", v.Kind)
		}
	}
}

// Slopes differentiates apply. c holds the coefficients with the fault applied.
func (v *Variant) Slopes(c *airflow.Coefs, z float64) []Slope {
	if v.unit > 0 {
		return v.changeSlopes(c, z)
	}
	const e = 1e-4
	out := make([]Slope, len(v.Spots))
	a, b := v.Severity(z-e), v.Severity(z+e)
	for i, sp := range v.Spots {
		var d float64
		switch v.Kind {
		case Leak, Altered:
			d = sp.Share * (b - a)
		case Blockage:
			d = handbook.BlockageLoss(b) - handbook.BlockageLoss(a)
		case GateRestricted:
			d = handbook.GateLoss(b) - handbook.GateLoss(a)
		case GateLeaking, FanWeak:
			d = b - a
		case FilterLoaded:
			d = *sp.Slot.Of(c) / v.Severity(z) * (b - a)
		default:
			NoCase("Slopes", v.Kind)
		}
		out[i] = Slope{sp.Slot, d / (2 * e)}
	}
	return out
}
