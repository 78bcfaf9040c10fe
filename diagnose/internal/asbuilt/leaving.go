package asbuilt

import (
	"math"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
)

// LeftOpen is what a gate leaves open in all, what it left as built included:
// the z that this is the severity of, with its slopes by the parameters (into
// g) and by the fault's own z. c and vals hold the coefficients with the fault.
func LeftOpen(v *fault.Variant, u *Unknowns, c *airflow.Coefs, vals []float64, z float64, g []float64) (all, by float64) {
	slot := v.Spots[0].Slot
	area := *slot.Of(c)
	for i := range u.Parts {
		p := &u.Parts[i]
		if p.Slot != slot {
			continue
		}
		for k, x := range p.Ix {
			if x >= 0 {
				g[x] += vals[i] * p.Sd[k] / area
			}
		}
	}
	return math.Log(area / v.Bore), v.Severity(z) / area
}
