package airflow

import (
	"math"
	"slices"

	"lostair/diagnose/duct"
	"lostair/diagnose/handbook"
)

// New compiles a system.
func New(sys *duct.System, opt Options) (*Model, error) {
	m := &Model{Sys: sys, join: opt.Join, leakExp: opt.LeakExponent, gateIx: map[string]int{}}
	if m.leakExp == 0 {
		m.leakExp = handbook.LeakageExponent
	}
	var err error
	if m.Air, err = handbook.AirOf(sys.Air); err != nil {
		return nil, err
	}
	if m.fan, err = handbook.NewFanCurve(sys); err != nil {
		return nil, err
	}
	m.compileCollector()
	m.compileDucts()
	m.compileNodes()
	m.compileJoins()
	m.compileLinks()
	m.compileParts()
	m.base = m.sum(m.parts)
	return m, nil
}

func area(d float64) float64 { return math.Pi / 4 * d * d }

func (m *Model) newSegment(parent int32, diameter float64) segment {
	a := area(diameter)
	return segment{
		parent: parent, duct: -1, gate: -1, port: -1, node: inlineNode, cos: 1,
		area: a, vp: m.Air.Density / 2 / (a * a),
		re: m.Air.Density * diameter / (a * m.Air.Viscosity),
	}
}

// compileCollector lays the two halves of the collector and says in which the
// cyclone, the fan and the filter stand.
func (m *Model) compileCollector() {
	c := m.Sys.Collector
	m.seg = append(m.seg, m.newSegment(-1, c.Inlet), m.newSegment(0, c.Inlet))
	m.filSeg, m.cycSeg, m.fanSeg = -1, -1, 0
	if c.Cyclone != nil {
		m.cycK = c.Cyclone.Pressure / (c.Cyclone.At * c.Cyclone.At) * m.Air.Density / handbook.StandardDensity
	}
	if c.Filter != nil {
		m.filR = c.Filter.Pressure / c.Filter.At
	}
	// The bin hangs under the cyclone, so all that comes up to and with the
	// cyclone is upstream of the bin. Without a cyclone all but the fan's own
	// half is downstream.
	half, fanSeen := int32(1), false
	if c.Cyclone == nil {
		half = 0
	}
	for _, p := range c.Order {
		switch p {
		case duct.Fan:
			m.fanSeg, fanSeen = half, true
		case duct.Filter:
			m.filSeg = half
			m.filPre = !fanSeen
		case duct.Cyclone:
			m.cycSeg = half
			m.cycPre = !fanSeen
			half = 0
		}
	}
}

// compileDucts lays the segments of every duct, downstream first.
func (m *Model) compileDucts() {
	s := m.Sys
	m.first, m.final, m.joint = make([]int32, len(s.Ducts)), make([]int32, len(s.Ducts)), make([]int32, len(s.Ducts))
	m.tapNode = make([][]int32, len(s.Ducts))
	m.ports = make([]int32, len(s.Ports))
	for i := range s.Ducts {
		if g := s.Ducts[i].Gate; g != "" {
			m.gateIx[g] = len(m.gates)
			m.gates = append(m.gates, gateRef{id: g, duct: i})
		}
	}
	for _, i := range depthFirst(s) {
		m.compileDuct(i)
	}
}

// depthFirst lists the ducts so that each stands right before all that flows
// into it: then what a sweep needs next lies close to what it had last.
func depthFirst(s *duct.System) []int {
	var stack []int
	for _, i := range s.Order {
		if s.Ducts[i].Into < 0 {
			stack = append(stack, i)
		}
	}
	slices.Reverse(stack)
	out := make([]int, 0, len(s.Ducts))
	for len(stack) > 0 {
		i := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		out = append(out, i)
		for k := len(s.Ducts[i].Children) - 1; k >= 0; k-- {
			stack = append(stack, s.Ducts[i].Children[k])
		}
	}
	return out
}

func (m *Model) compileDuct(i int) {
	d := &m.Sys.Ducts[i]
	parent := int32(1)
	if d.Into >= 0 {
		parent = m.top(d.Into)
	}
	rough := handbook.Roughness(d)
	end := d.Length
	m.tapNode[i] = make([]int32, len(d.Taps))
	add := func(from float64) int32 {
		g := m.newSegment(parent, d.Diameter)
		g.duct = int32(i)
		g.length, g.at = end-from, from
		g.lod = g.length / d.Hydraulic()
		g.rel = rough / d.Hydraulic()
		g.re *= d.Hydraulic() / d.Diameter
		g.surface = d.Perimeter() * g.length
		m.seg = append(m.seg, g)
		parent, end = int32(len(m.seg)-1), from
		return parent
	}
	if d.GateDown && d.Gate != "" {
		g := m.newSegment(parent, d.Diameter)
		g.duct, g.at = int32(i), d.Length
		m.setGate(&g, d.Gate)
		m.seg = append(m.seg, g)
		parent = int32(len(m.seg) - 1)
	}
	m.joint[i], m.final[i] = parent, -1
	for t := len(d.Taps) - 1; t >= 0; t-- {
		x := add(d.Taps[t].Distance)
		m.tapNode[i][t] = x
		if m.final[i] < 0 {
			m.final[i] = x
		}
	}
	x := add(0)
	if m.final[i] < 0 {
		m.final[i] = x
	}
	m.first[i] = x
	if !d.GateDown || d.Gate == "" {
		m.joint[i] = m.final[i]
	}
	m.seg[m.joint[i]].cos = math.Cos(d.Angle)
	gated := d.Gate != "" && !d.GateDown
	if d.Port < 0 && !gated {
		return
	}
	g := m.newSegment(x, d.Diameter)
	g.duct = int32(i)
	if gated {
		m.setGate(&g, d.Gate)
	}
	if d.Port >= 0 {
		g.port, g.node = int32(d.Port), portNode
		m.ports[d.Port] = int32(len(m.seg))
	}
	m.seg = append(m.seg, g)
}

// setGate makes a segment that is laid next the place of a gate.
func (m *Model) setGate(g *segment, id string) {
	g.gate = int32(m.gateIx[id])
	m.gates[g.gate].seg = int32(len(m.seg))
}

// top is a duct's most upstream segment, a gate there included.
func (m *Model) top(i int) int32 {
	x := m.first[i]
	if d := &m.Sys.Ducts[i]; d.Gate != "" && !d.GateDown && d.Port < 0 {
		return x + 1
	}
	return x
}

// compileNodes decides what happens at the upstream node of each segment.
func (m *Model) compileNodes() {
	legs := make([]int32, len(m.seg))
	for x := 1; x < len(m.seg); x++ {
		legs[m.seg[x].parent]++
	}
	for x := 1; x < len(m.seg); x++ {
		g := &m.seg[x]
		p := &m.seg[g.parent]
		g.leg = 2 * g.cos * g.area / p.area
		if g.duct == p.duct || g.parent == 0 {
			continue
		}
		if legs[g.parent] > 1 {
			p.node = joinNode
			continue
		}
		if g.area == p.area && g.cos == 1 {
			continue
		}
		p.node = sectionNode
	}
}

// compileJoins works out every join by the model's own law.
func (m *Model) compileJoins() {
	legs := make([][]int32, len(m.seg))
	for x := 1; x < len(m.seg); x++ {
		if p := m.seg[x].parent; p >= 0 && m.seg[p].node == joinNode {
			legs[p] = append(legs[p], int32(x))
		}
	}
	for x := range m.seg {
		m.seg[x].takes = 2
		if len(legs[x]) == 0 {
			continue
		}
		var angles, areas []float64
		for _, y := range legs[x] {
			angles = append(angles, m.angle(y))
			areas = append(areas, m.seg[y].area)
		}
		j := handbook.NewJoint(angles, areas, m.seg[x].area)
		m.seg[x].takes = j.Takes
		for i, y := range legs[x] {
			m.seg[y].law = j.Legs[i]
			m.seg[y].leg = j.Legs[i].Brings
		}
	}
}

// angle is that at which a segment enters the next; a gate or a port right at a join goes straight.
func (m *Model) angle(x int32) float64 {
	g := &m.seg[x]
	if g.duct < 0 || x != m.joint[g.duct] || g.cos == 1 {
		return 0
	}
	return m.Sys.Ducts[g.duct].Angle
}

// usualSpeed is the air speed in m/s at which friction is guessed first.
const usualSpeed = 15

func (m *Model) compileLinks() {
	m.link = make([]link, len(m.seg))
	for x := range m.seg {
		g, l := &m.seg[x], &m.link[x]
		*l = link{parent: g.parent, depth: 1, root: 1, node: g.node, takes: float32(g.takes), vp: g.vp, lod: g.lod, rel: g.rel, re: g.re}
		if g.parent >= 0 {
			l.depth, l.next = m.link[g.parent].depth+1, m.seg[g.parent].node
			l.leg = g.leg * g.vp
			if l.next == sectionNode || l.next == joinNode && m.join == Handbook {
				l.leg = g.vp
			}
		}
		if g.lod > 0 {
			f, _, _ := handbook.FrictionFactor(g.re*g.area*usualSpeed, g.rel, 0)
			l.root = 1 / math.Sqrt(f)
		}
		m.deepest = max(m.deepest, int(l.depth))
	}
	m.orifice = handbook.DischargeCoefficient * math.Sqrt(2/m.Air.Density)
	c := (m.leakExp - 1) / 2
	m.power[0] = c
	for k := 1; k < len(m.power); k++ {
		m.power[k] = c
		if k > 1 {
			m.power[k] = m.power[k-1] * (c - float64(k-1)) / float64(k)
		}
	}
}
