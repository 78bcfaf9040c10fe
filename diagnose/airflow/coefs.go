package airflow

// Coefs are the numbers that a solve uses; everything that may differ from the
// page (as built, or by a fault) is one of them. Slices are by segment, but
// for GateOpen and GateArea (by gate).
type Coefs struct {
	K        []float64 // local losses on the segment's velocity pressure (hood, fittings, entry, blockage)
	Friction []float64 // factor on the friction loss
	Leak     []float64 // open area of holes at the upstream node, m²
	Seep     []float64 // background leakage at the upstream node, m³/s at 1 Pa^0.65
	Bring    []float64 // factor on the momentum that the segment brings to a join
	GateOpen []float64 // K of an open gate
	GateArea []float64 // open area of a shut gate, m²
	Plain    []float64 // by port: K of the port with the machine unhooked
	Speed    float64   // fan speed, share of the curve's
	Pressure float64   // factor on the fan's pressure
	Cyclone  float64   // factor on the cyclone's loss
	Filter   float64   // factor on the filter's clean loss
}

// Coefs returns a copy of the page's coefficients, to be changed by the caller.
func (m *Model) Coefs() Coefs { return m.base.Clone() }

// Clone copies c.
func (c Coefs) Clone() Coefs {
	for _, s := range []*[]float64{&c.K, &c.Friction, &c.Leak, &c.Seep, &c.Bring, &c.GateOpen, &c.GateArea, &c.Plain} {
		*s = append([]float64(nil), *s...)
	}
	return c
}
