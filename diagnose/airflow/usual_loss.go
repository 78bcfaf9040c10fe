package airflow

import "lostair/diagnose/handbook"

// usualVelocity is the air's in a duct of a system at work, m/s. Common
// practice, no source; friction hardly depends on it.
const usualVelocity = 20

// UsualLoss is what a duct loses by its page, friction and fittings, as a
// multiple of its velocity pressure at a usual velocity.
func (m *Model) UsualLoss(d int) float64 {
	bends, free := handbook.FittingLoss(&m.Sys.Ducts[d])
	more := handbook.CompressionFactor(m.Sys.Ducts[d].Compressed, m.Sys.Ducts[d].Diameter)
	out := bends + max(free, 0)
	for _, x := range m.DuctSegments(d) {
		g := &m.seg[x]
		if g.lod > 0 {
			f, _, _ := handbook.FrictionFactor(usualVelocity*m.Sys.Ducts[d].Hydraulic()*m.Air.Density/m.Air.Viscosity, g.rel, 0)
			out += more * f * g.lod
		}
	}
	return max(out, leastLoss)
}

// leastLoss keeps a share of a loss finite.
const leastLoss = 0.05
