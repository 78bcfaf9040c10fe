package airflow

import (
	"math"

	"lostair/diagnose/handbook"
)

// seriesReach is how far p²+ε² may move, relative, before the power of it is
// worked out anew; the terms left out are some 1e-9 of the leakage.
const seriesReach = 0.06

// seepPower is (p²+ε²) to the power of background leakage, carried on from its
// last value by the binomial series. r is p²+ε².
func (s *State) seepPower(x int, r float64) float64 {
	k := &s.kept[x]
	d := r - k.r
	if math.Abs(d) < seriesReach*k.r {
		d /= k.r
		e := &s.m.power
		return k.w * (1 + d*(e[1]+d*(e[2]+d*(e[3]+d*(e[4]+d*e[5])))))
	}
	k.r, k.w = r, math.Exp(s.m.power[0]*math.Log(r))
	return k.w
}

// leakPer returns what comes in at a segment's node at static pressure p, by
// area of holes and by background leakage: ∝ −p·(p²+ε²)^((e−1)/2), which is
// |p|^e away from zero.
func (s *State) leakPer(x int, p float64) (perArea, perSeep float64) {
	r := p*p + handbook.LeakSmooth*handbook.LeakSmooth
	return -p * s.m.orifice / math.Sqrt(math.Sqrt(r)), -p * s.seepPower(x, r)
}

// leak returns all that comes in at a node, and its slope by p.
func (s *State) leak(x int, p float64) (q, dq float64) {
	m := s.m
	area, seep := s.c.Leak[x], s.c.Seep[x]
	r := p*p + handbook.LeakSmooth*handbook.LeakSmooth
	if seep != 0 {
		w := s.seepPower(x, r)
		q = -seep * w * p
		dq = -seep * w * (1 + 2*m.power[0]*p*p/r)
	}
	if area != 0 {
		w := m.orifice / math.Sqrt(math.Sqrt(r))
		q -= area * w * p
		dq -= area * w * (1 - 0.5*p*p/r)
	}
	return q, dq
}

// collectorLoss adds cyclone, filter and fan to the loss and its slope in a half of the collector.
func (s *State) collectorLoss(x int32, q float64, loss, slope *float64) {
	m, c := s.m, s.c
	aq := math.Abs(q)
	if m.cycSeg == x {
		k := m.cycK * c.Cyclone
		*loss += k * q * aq
		*slope += 2 * k * aq
	}
	if m.filSeg == x {
		*loss += m.filR * c.Filter * q
		*slope += m.filR * c.Filter
	}
	if m.fanSeg == x {
		// Fan static pressure is outlet static less inlet total.
		f := m.fan.At(q, m.Air.Density, c.fan())
		*loss -= c.Pressure*f.P + m.seg[x].vp*q*aq
		*slope -= c.Pressure*f.ByFlow + 2*m.seg[x].vp*aq
	}
}

// exchange returns the static pressure lost at a segment's upstream node as
// velocity pressures change hands, its slope by the segment's own flow, and
// the factor on the slopes by its legs' flows that brought returns. sum is
// what the legs bring.
func (s *State) exchange(l *link, q, sum float64) (h, hc, factor float64) {
	v := l.vp * q * q
	switch {
	case l.node == sectionNode:
		// total pressure is kept; what is lost stands among the K of either duct
		return v - sum, 2 * l.vp * q, 1
	case l.node != joinNode:
		return 2*v - sum, 4 * l.vp * q, 1
	case s.m.join == Momentum:
		takes := float64(l.takes)
		return s.exchanged * (takes*v - sum), s.exchanged * 2 * takes * l.vp * q, s.exchanged
	}
	// acceleration above the resultant velocity pressure, none regained
	var r float64
	if q > 0 {
		r = sum / q
	}
	d := v - r
	e := 1e-3*v + 1e-9
	w := math.Sqrt(d*d + e*e)
	h = (d + w) / 2
	g := (1 + d/w) / 2
	hc = g * 2 * l.vp * q
	if q > 0 {
		hc += g * r / q
		factor = -g / q
	}
	return s.exchanged * h, s.exchanged * hc, s.exchanged * factor
}

// brought is what a segment's flow brings to the exchange at its next node,
// and the slope of that exchange by the flow apart from the node's factor.
func (s *State) brought(x int, l *link, q float64) (v, slope float64) {
	if l.next == joinNode && s.m.join == Handbook {
		if q <= 0 {
			return 0, 0
		}
		v = l.leg * q * q
		return v * q, 3 * v
	}
	k := s.brings(x, l) * q
	return k * q, -2 * k
}

// brings is the momentum that a segment brings to its next node by flow²: as
// built at a join, in full where a duct goes on.
func (s *State) brings(x int, l *link) float64 {
	if l.next == joinNode {
		return s.c.Bring[x] * l.leg
	}
	return l.leg
}
