package airflow

import "lostair/readings/units"

// ProbeDuct is the mean velocity or the flow at the upstream end of a duct,
// where its air is slowest, whether there is a tap or not.
func (m *Model) ProbeDuct(d int, q units.Quantity) Probe {
	x := int32(m.DuctSegments(d)[0])
	return Probe{what: q, place: atTap, up: x, down: x, bore: m.seg[x].area}
}
