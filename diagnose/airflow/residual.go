package airflow

import (
	"fmt"
	"math"
)

// leakSmooth keeps the orifice law differentiable at no suction, Pa.
const leakSmooth = 0.01

// leakFlow returns what comes in at a node of static pressure p through holes
// of an area and by background leakage, its slope by p, and the two flows per
// unit of area and of seepage.
func (m *Model) leakFlow(p, area, seep float64) (q, dq, perArea, perSeep float64) {
	// ∝ −p·(p²+ε²)^((e−1)/2), which is |p|^e away from zero
	r := p*p + leakSmooth*leakSmooth
	if area != 0 {
		c := dischargeCoefficient * math.Sqrt(2/m.Air.Density)
		w := 1 / math.Sqrt(math.Sqrt(r))
		perArea = -c * p * w
		q += area * perArea
		dq += -area * c * w * (1 - 0.5*p*p/r)
	} else {
		perArea = -dischargeCoefficient * math.Sqrt(2/m.Air.Density) * p / math.Sqrt(math.Sqrt(r))
	}
	perSeep, slope := m.seepFlow(p)
	q += seep * perSeep
	dq += seep * slope
	return q, dq, perArea, perSeep
}

// seepFlow is the background leakage at a node per unit of seepage, and its slope by p.
func (m *Model) seepFlow(p float64) (q, dq float64) {
	r := p*p + leakSmooth*leakSmooth
	w := math.Exp((m.leakExp - 1) / 2 * math.Log(r))
	return -p * w, -w * (1 + (m.leakExp-1)*p*p/r)
}

// residual evaluates every equation and derivative at the present iterate and
// returns the largest residual, relative.
func (s *State) residual() float64 {
	m, c := s.m, s.c
	n := len(m.seg)
	clear(s.sq)
	clear(s.sv)
	for x := n - 1; x >= 0; x-- {
		s.loss(x)
		sg := &m.seg[x]
		if sg.parent < 0 {
			continue
		}
		q := s.Q[x]
		s.sq[sg.parent] += q
		switch p := &m.seg[sg.parent]; p.node {
		case sectionNode:
			s.sv[sg.parent] = sg.vp * q * q
		case joinNode:
			if m.join == Handbook {
				s.sv[sg.parent] += max(q, 0) * sg.vp * q * q
				continue
			}
			fallthrough
		default:
			s.sv[sg.parent] += s.brings(x) * sg.leg * sg.vp * q * q
		}
	}
	var worst, mass float64
	scaleP := m.fan.first.Pressure * max(c.Speed*c.Speed, 1e-6) * m.Air.Density / m.fan.density
	scaleQ := math.Abs(s.Q[0]) + 1e-12
	for x := range n {
		sg := &m.seg[x]
		next := 0.0
		if sg.parent >= 0 {
			next = s.P[sg.parent]
		}
		if sg.node == portNode {
			// rf holds the loss still: room (0) − next − acceleration − loss
			s.rf[x] = -next - sg.vp*s.Q[x]*math.Abs(s.Q[x]) - s.rf[x]
			s.rm[x] = 0
			s.dR[x] += 2 * sg.vp * math.Abs(s.Q[x])
		} else {
			s.exchange(x)
			s.rf[x] = s.P[x] - next - s.h[x] - s.rf[x]
			var leak float64
			leak, s.dl[x] = s.leak(x)
			s.rm[x] = s.sq[x] + leak - s.Q[x]
			mass = max(mass, math.Abs(s.rm[x]))
		}
		worst = max(worst, math.Abs(s.rf[x])/scaleP)
	}
	s.Imbalance = mass / scaleQ
	worst = max(worst, s.Imbalance)
	if math.IsNaN(worst) {
		return math.Inf(1)
	}
	return worst
}

// loss leaves the segment's pressure loss in rf and its slope in dR.
func (s *State) loss(x int) {
	m, c := s.m, s.c
	sg := &m.seg[x]
	q := s.Q[x]
	aq := math.Abs(q)
	k := s.k[x]
	var f, df float64
	if sg.lod > 0 {
		f, df = s.friction(x, sg.re*aq, sg.rel)
		f *= sg.lod
		df *= sg.lod * sg.re
		s.fr[x] = f
	}
	fm := c.Friction[x]
	s.rf[x] = (k + fm*f) * sg.vp * q * aq
	s.dR[x] = 2*(k+fm*f)*sg.vp*aq + fm*df*sg.vp*aq*aq
	if x <= 1 {
		s.collectorLoss(int32(x), q)
	}
}

// near is the relative change of a flow within which the last friction factor
// is carried on along its tangent: the error is of second order, some 1e-10.
const near = 1e-5

// friction is frictionFactor with the last value kept.
func (s *State) friction(x int, re, rel float64) (f, df float64) {
	k := &s.kept[x]
	if d := re - k.re; math.Abs(d) < near*k.re {
		return k.f + k.df*d, k.df
	}
	f, df, s.root[x] = frictionFactor(re, rel, s.root[x])
	k.re, k.f, k.df = re, f, df
	return f, df
}

// leak is leakFlow's flow and slope, with background leakage carried on from
// the last value by the binomial series of its power law while the pressure
// stays within a few per cent; the terms left out are below 1e-12.
func (s *State) leak(x int) (q, dq float64) {
	p, area, seep := s.P[x], s.c.Leak[x], s.c.Seep[x]
	if seep != 0 {
		k := &s.kept[x]
		d := (p - k.p) / k.p
		if k.p == 0 || math.Abs(p) < 1 || math.Abs(d) > seriesReach {
			k.p = p
			k.seep, k.dseep = s.m.seepFlow(p)
			d = 0
		}
		e := s.m.leakExp
		c2 := e * (e - 1) / 2
		c3 := c2 * (e - 2) / 3
		c4 := c3 * (e - 3) / 4
		c5 := c4 * (e - 4) / 5
		if d == 0 {
			q, dq = seep*k.seep, seep*k.dseep
		} else {
			q = seep * k.seep * (1 + d*(e+d*(c2+d*(c3+d*(c4+d*c5)))))
			dq = seep * k.seep / k.p * (e + d*(2*c2+d*(3*c3+d*(4*c4+d*5*c5))))
		}
	}
	if area != 0 {
		r := p*p + leakSmooth*leakSmooth
		c := area * dischargeCoefficient * math.Sqrt(2/s.m.Air.Density) / math.Sqrt(math.Sqrt(r))
		q -= c * p
		dq -= c * (1 - 0.5*p*p/r)
	}
	return q, dq
}

// seriesReach is how far the pressure may move, relative, before the series is started anew.
const seriesReach = 0.01

// kept is what a segment's last friction and leakage were worked out at.
type kept struct{ re, f, df, p, seep, dseep float64 }

// collectorLoss adds cyclone, filter and fan to a half of the collector.
func (s *State) collectorLoss(x int32, q float64) {
	m, c := s.m, s.c
	aq := math.Abs(q)
	if m.cycSeg == x {
		k := m.cycK * c.Cyclone
		s.rf[x] += k * q * aq
		s.dR[x] += 2 * k * aq
	}
	if m.filSeg == x {
		s.rf[x] += m.filR * c.Filter * q
		s.dR[x] += m.filR * c.Filter
	}
	if m.fanSeg == x {
		// Fan static pressure is outlet static less inlet total.
		p, dq, _ := m.fan.at(q, c.Speed, m.Air.Density)
		s.rf[x] -= c.Pressure*p + m.seg[x].vp*q*aq
		s.dR[x] -= c.Pressure*dq + 2*m.seg[x].vp*aq
	}
}

// exchange computes the static pressure lost at a segment's upstream node as
// velocity pressures change hands, and its slopes: hc by the segment's own
// flow; the legs take theirs from legSlope.
func (s *State) exchange(x int) {
	m := s.m
	sg := &m.seg[x]
	q := s.Q[x]
	v := sg.vp * q * q
	switch {
	case sg.node == sectionNode:
		// total pressure is kept; what is lost stands among the K of either duct
		s.h[x] = v - s.sv[x]
		s.hc[x] = 2 * sg.vp * q
	case sg.node == joinNode && m.join == Handbook:
		// acceleration above the resultant velocity pressure, none regained
		var r float64
		if q > 0 {
			r = s.sv[x] / q
		}
		d := v - r
		e := 1e-3*v + 1e-9
		w := math.Sqrt(d*d + e*e)
		s.h[x] = (d + w) / 2
		g := (1 + d/w) / 2
		s.hc[x] = g * 2 * sg.vp * q
		if q > 0 {
			s.hc[x] += g * r / q
		}
		s.ac[x] = g
	default:
		s.h[x] = 2*v - s.sv[x]
		s.hc[x] = 4 * sg.vp * q
	}
}

// legSlope is d(exchange at the next node)/d(flow of x).
func (s *State) legSlope(x int) float64 {
	m := s.m
	sg := &m.seg[x]
	p := &m.seg[sg.parent]
	q := s.Q[x]
	switch {
	case p.node == sectionNode:
		return -2 * sg.vp * q
	case p.node == joinNode && m.join == Handbook:
		if Q := s.Q[sg.parent]; Q > 0 && q > 0 {
			return -s.ac[sg.parent] * 3 * sg.vp * q * q / Q
		}
		return 0
	}
	return -2 * s.brings(x) * sg.leg * sg.vp * q
}

func (s *State) notConverged(norm float64) error {
	worst, at := 0.0, 0
	for x := range s.rm {
		if r := math.Abs(s.rm[x]); r > worst {
			worst, at = r, x
		}
	}
	name := "the collector"
	if d := s.m.seg[at].duct; d >= 0 {
		name = fmt.Sprintf("duct %q", s.m.Sys.Ducts[d].ID)
	}
	return fmt.Errorf("%w: relative residual %.2g after %d iterations, worst at %s", ErrNotConverged, norm, s.Iterations, name)
}

// brings is the factor on the momentum that a segment brings to its next node:
// as built at a join, one where a duct goes on.
func (s *State) brings(x int) float64 {
	if s.m.seg[s.m.seg[x].parent].node == joinNode {
		return s.c.Bring[x]
	}
	return 1
}
