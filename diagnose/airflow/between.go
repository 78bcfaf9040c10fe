package airflow

import (
	"fmt"
	"math"
	"slices"

	"lostair/diagnose/duct"
	"lostair/readings/units"
)

// Points between the collector's parts, in a pipe of the inlet's diameter.
const (
	FanOutlet     = "fan-outlet"
	CycloneInlet  = "cyclone-inlet"
	CycloneOutlet = "cyclone-outlet"
	AfterFilter   = "after-filter"
)

// between are those points: a part, and whether the point lies behind it.
var between = []struct {
	point  string
	part   duct.Part
	behind bool
}{
	{CycloneInlet, duct.Cyclone, false}, {CycloneOutlet, duct.Cyclone, true},
	{FanOutlet, duct.Fan, true}, {AfterFilter, duct.Filter, true},
}

// PartPoints lists the points between the collector's parts and at the motor
// that a system has.
func (m *Model) PartPoints() []string {
	var out []string
	for _, b := range between {
		if slices.Contains(m.Sys.Collector.Order, b.part) {
			out = append(out, b.point)
		}
	}
	return append(out, FanPoint)
}

// betweenParts resolves a point between the collector's parts: the half in which
// it lies and what stands between it and the end of that half.
func (m *Model) betweenParts(p *Probe, point string) (found bool, err error) {
	for _, b := range between {
		if b.point != point {
			continue
		}
		order := m.Sys.Collector.Order
		at := slices.Index(order, b.part)
		if at < 0 {
			return true, fmt.Errorf("the system has no %s", b.part)
		}
		if b.behind {
			at++
		}
		x := int32(0)
		if at < len(order) {
			x = m.halfOf(order[at])
		}
		p.place, p.up, p.down = atPart, x, x
		for _, part := range order[at:] {
			if m.halfOf(part) == x {
				p.rest[part] = true
			}
		}
		if q := p.what; q == units.PressureDrop || q.OfMotor() || q.OfAir() || b.part != duct.Cyclone && q != units.StaticPressure && q != units.Suction && q != units.FlowRate {
			return true, fmt.Errorf("%s can't be read at %s; static_pressure can", q, point)
		}
		p.bore = m.seg[x].area
		return true, nil
	}
	return false, nil
}

func (m *Model) halfOf(p duct.Part) int32 {
	switch p {
	case duct.Cyclone:
		return m.cycSeg
	case duct.Filter:
		return m.filSeg
	}
	return m.fanSeg
}

// restLoss is what the rest of its half loses behind a point between parts, and
// the slope by flow.
func (s *State) restLoss(r Probe) (p, slope float64) {
	m, c := s.m, s.c
	q := s.Q[r.up]
	aq := math.Abs(q)
	vp := m.seg[r.up].vp
	p, slope = s.k[r.up]*vp*q*aq, 2*s.k[r.up]*vp*aq
	if r.rest[duct.Cyclone] {
		k := m.cycK * c.Cyclone
		p += k * q * aq
		slope += 2 * k * aq
	}
	if r.rest[duct.Filter] {
		p += m.filR * c.Filter * q
		slope += m.filR * c.Filter
	}
	if r.rest[duct.Fan] {
		f := m.fan.At(q, m.Air.Density, c.fan())
		p -= c.Pressure*f.P + vp*q*aq
		slope -= c.Pressure*f.ByFlow + 2*vp*aq
	}
	return p, slope
}

// betweenStatic is the static pressure at such a point.
func (s *State) betweenStatic(r Probe) float64 {
	p, _ := s.restLoss(r)
	if next := s.m.seg[r.up].parent; next >= 0 {
		p += s.P[next]
	}
	return p
}

func (s *State) seedBetween(r Probe, g *Gradient, sign float64) {
	if next := s.m.seg[r.up].parent; next >= 0 {
		g.wp[next] += sign
	}
	_, slope := s.restLoss(r)
	g.wq[r.up] += sign * slope
}

// directBetween adds the derivatives by the coefficients of what stands behind.
func (s *State) directBetween(r Probe, g *Gradient, sign float64) {
	m := s.m
	q := s.Q[r.up]
	g.K[r.up] += sign * m.seg[r.up].vp * q * math.Abs(q)
	if r.rest[duct.Cyclone] {
		g.Cyclone += sign * m.cycK * q * math.Abs(q)
	}
	if r.rest[duct.Filter] {
		g.Filter += sign * m.filR * q
	}
	if r.rest[duct.Fan] {
		s.directFan(q, g, sign)
	}
}
