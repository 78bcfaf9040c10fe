package airflow

import (
	"math"

	"lostair/diagnose/handbook"
)

// Without background leakage, at a given friction factor, and apart from fan and
// filter every equation is of second degree: the suction at a node is q²/G² of
// the flow that passes it, with G the sum over its legs (holes among them) of
// 1/√C, and a segment adds to the resistance
//
//	C = (1 − S)/G² + exchange + losses
//
// with S the share of the suction that the momentum of the legs makes up. So
// one sweep up and one down solve the plant apart from the changes of friction,
// and Newton needs a few steps only.

// leastResistance keeps C positive where a join gives back more than it takes,
// as a share of the velocity pressure.
const leastResistance = 0.05

// start guesses flows and pressures.
func (s *State) start() {
	m, c := s.m, s.c
	clear(s.legs)
	// of background leakage, by suction to the half: at half the fan's pressure
	half := math.Pow(max(0.5*m.fan.First.Pressure*c.Speed*c.Speed, 1), m.leakExp-0.5)
	for x := len(m.link) - 1; x >= 0; x-- {
		l := &m.link[x]
		r := l.vp * (s.k[x] + l.lod/(l.root*l.root)*c.Friction[x])
		var G float64
		if l.node == portNode {
			r += l.vp
		} else {
			j := &s.legs[l.depth]
			G = j.a + max(c.Leak[x], 0)*m.orifice + max(c.Seep[x], 0)*half
			G = max(G, 1e-9)
			r += s.startExchange(l, j, G) + 1/(G*G)
			*j = sums{}
		}
		if int32(x) == m.cycSeg {
			r += m.cycK * c.Cyclone
		}
		if int32(x) == m.fanSeg {
			r -= l.vp
		}
		g := 1 / math.Sqrt(max(r, leastResistance*l.vp))
		s.row[x] = row{a: g, b: G}
		if l.parent < 0 {
			break
		}
		p := &s.legs[l.depth-1]
		p.a += g
		if l.next == joinNode && m.join == Handbook {
			p.v += l.leg * g * g * g
		} else {
			p.v += s.brings(x, l) * g * g
		}
	}
	s.startDown()
}

// startExchange is what the exchange at a node adds to the resistance.
func (s *State) startExchange(l *link, legs *sums, G float64) float64 {
	switch {
	case l.node == sectionNode:
		return l.vp - legs.v/(G*G)
	case l.node == joinNode && s.m.join == Handbook:
		return s.exchanged * max(0, l.vp-legs.v/(G*G*G))
	case l.node == joinNode:
		return s.exchanged * (float64(l.takes)*l.vp - legs.v/(G*G))
	}
	return 2*l.vp - legs.v/(G*G)
}

// startDown shares the collector's flow out among the ports.
func (s *State) startDown() {
	m := s.m
	for x := range m.link {
		l, r := &m.link[x], &s.row[x]
		s.kept[x] = kept{friction: handbook.Carried{Root: l.root}}
		q := 0.0
		if l.parent < 0 {
			q = s.startFan(1 / (r.a * r.a))
		} else {
			q = s.Q[l.parent] * r.a / s.row[l.parent].b
		}
		s.Q[x], s.P[x] = q, 0
		if l.node != portNode {
			s.P[x] = -(q / r.b) * (q / r.b)
		}
	}
	if m.fanSeg == 1 {
		// the bin's node is behind the fan
		q := s.Q[0]
		s.P[0] = m.link[0].vp * s.k[0] * q * q
		if m.filSeg == 0 {
			s.P[0] += m.filR * s.c.Filter * q
		}
		if m.cycSeg == 0 {
			s.P[0] += m.cycK * s.c.Cyclone * q * q
		}
	}
}

// startFan bisects for the flow at which the fan meets a resistance r·q².
func (s *State) startFan(r float64) float64 {
	lo, hi := 0.0, 2*s.m.fan.Last.Flow*max(s.c.Speed*s.c.MostAir, 1e-3)
	for range 24 {
		q := (lo + hi) / 2
		f := s.m.fan.At(q, s.m.Air.Density, s.c.fan())
		if s.c.Pressure*f.P-s.m.filR*s.c.Filter*q > r*q*q {
			lo = q
		} else {
			hi = q
		}
	}
	return max((lo+hi)/2, 1e-9)
}
