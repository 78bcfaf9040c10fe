package airflow

import (
	"errors"
	"math"
	"slices"

	"lostair/diagnose/duct"
)

// Model is a duct system compiled for solving: flat arrays of segments in
// topological order (a duct's segments together, what flows into it after
// them). It is immutable and safe for concurrent use.
//
// A segment is a piece of duct between two taps, a port with its hood and
// gate, a gate in a trunk, or a half of the collector. Segment 0 is the
// collector from the bin to the room, segment 1 the collector from its inlet
// to the bin; every other segment flows into a segment of a lower index.
// Each segment but a port's has a node at its upstream end, of the same
// index, where static pressure is known, leaks come in and others join.
type Model struct {
	Sys *duct.System
	Air Air

	seg     []segment
	link    []link
	deepest int       // largest depth of a link
	ports   []int32   // port → its segment
	gates   []gateRef // gate index (file order) → segment
	gateIx  map[string]int
	first   []int32 // duct → its most upstream segment behind hood and gate
	final   []int32 // duct → its most downstream segment, a gate behind it left out
	joint   []int32 // duct → the segment that flows into what comes next: its last one, or the gate behind it
	tapNode [][]int32
	fan     *fanCurve
	fanSeg  int32 // 0 or 1: where the fan stands
	filSeg  int32 // 0 or 1; -1: none
	cycSeg  int32 // 0 or 1; -1: none
	cycK    float64
	filR    float64 // Pa/(m³/s)
	filPre  bool    // filter stands before the fan, in the fan's segment
	cycPre  bool
	join    Join
	leakExp float64
	parts   []Part
	base    Coefs

	orifice float64    // flow through a hole by area and √suction
	power   [6]float64 // of background leakage: exponent on p²+ε², and its binomial series
}

// Air is the state the model computes with.
type Air struct {
	Density   float64 // kg/m³
	Viscosity float64 // Pa·s
}

// Join is a law for the exchange of velocity pressure where ducts meet.
type Join uint8

const (
	// Momentum: the momentum that the legs bring along the main's axis less
	// what leaves must be made up by static pressure, with factors midway
	// between two published laws (joinlaw.go).
	Momentum Join = iota
	// Handbook: a branch loses EntryLoss on its velocity pressure; the main
	// pays for acceleration above the resultant velocity pressure and gets
	// nothing back when it slows. ACGIH Industrial Ventilation, design procedure.
	Handbook
)

type nodeKind uint8

const (
	portNode    nodeKind = iota // room upstream: no node
	inlineNode                  // one duct goes on, or a leak comes in
	sectionNode                 // one duct of another diameter flows in
	joinNode                    // several ducts meet
)

type segment struct {
	parent  int32
	duct    int32 // index into Sys.Ducts, or -1 in the collector
	gate    int32 // gate at this segment, or -1
	port    int32 // port whose hood this is, or -1
	node    nodeKind
	area    float64
	vp      float64 // ρ/2/area²: velocity pressure is vp·q²
	lod     float64 // length over diameter, for friction
	rel     float64 // roughness over diameter
	re      float64 // Reynolds number per flow
	cos     float64 // of the angle at which it enters the next
	leg     float64 // momentum it brings to the next, on its own velocity pressure
	length  float64
	surface float64
	at      float64 // distance of the upstream end from the duct's upstream end
	takes   float64 // momentum that leaves its upstream node, on its velocity pressure
	law     legLaw  // of the join that it flows into
}

// link is what the solver needs of a segment in each of its sweeps, 64 bytes
// of it: on a large plant a sweep is as fast as memory.
type link struct {
	parent int32
	depth  int32    // segments between this one and the room behind the collector, itself included
	node   nodeKind // at its own upstream end
	next   nodeKind // at the end of it
	takes  float32  // momentum that leaves its own upstream end, on its velocity pressure
	vp     float64
	lod    float64
	rel    float64
	re     float64
	leg    float64 // momentum it brings by flow²; vp at a change of section and by the handbook
	root   float64 // 1/√f at usual speed, a first guess
}

type gateRef struct {
	seg  int32
	id   string
	duct int
}

// Options choose between laws. The zero Options is the model's own choice.
type Options struct {
	Join         Join
	LeakExponent float64 // of background leakage; 0: 0.65
}

var errNoSuchAir = errors.New("air so hot and damp boils at that barometer; check temperature, humidity, and altitude or pressure")

// New compiles a system.
func New(sys *duct.System, opt Options) (*Model, error) {
	m := &Model{Sys: sys, join: opt.Join, leakExp: opt.LeakExponent, gateIx: map[string]int{}}
	if m.leakExp == 0 {
		m.leakExp = leakageExponent
	}
	err := m.setAir()
	if err != nil {
		return nil, err
	}
	if m.fan, err = newFanCurve(sys); err != nil {
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

// setAir works out the air's density. Where its water vapour alone would press
// harder than the barometer there is no such air.
func (m *Model) setAir() error {
	a := m.Sys.Air
	T, rho := standardTemperature, standardDensity
	if !a.Standard {
		p := a.Barometer
		if p == 0 {
			p = Barometer(a.Altitude)
		}
		if a.Humidity*saturation(a.Temperature) >= p {
			return errNoSuchAir
		}
		T, rho = a.Temperature, Density(a.Temperature, p, a.Humidity)
	}
	m.Air = Air{Density: rho, Viscosity: Viscosity(T)}
	return nil
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
		m.cycK = c.Cyclone.Pressure / (c.Cyclone.At * c.Cyclone.At) * m.Air.Density / standardDensity
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
	rough := roughness(d)
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
			f, _, _ := frictionFactor(g.re*g.area*usualSpeed, g.rel, 0)
			l.root = 1 / math.Sqrt(f)
		}
		m.deepest = max(m.deepest, int(l.depth))
	}
	m.orifice = dischargeCoefficient * math.Sqrt(2/m.Air.Density)
	c := (m.leakExp - 1) / 2
	m.power[0] = c
	for k := 1; k < len(m.power); k++ {
		m.power[k] = c
		if k > 1 {
			m.power[k] = m.power[k-1] * (c - float64(k-1)) / float64(k)
		}
	}
}

// Segments returns how many segments the model has.
func (m *Model) Segments() int { return len(m.seg) }

// Position says where a segment lies.
type Position struct {
	Duct     int     // index into Sys.Ducts; -1: the collector
	From, To float64 // distances from the duct's upstream end, m; equal: a port or a gate
	Parent   int     // the segment it flows into; -1: the room
	Port     int     // port whose mouth it is, or -1
	Bore     float64 // m²
}

// Position returns where segment x lies.
func (m *Model) Position(x int) Position {
	g := &m.seg[x]
	return Position{Duct: int(g.duct), From: g.at, To: g.at + g.length, Parent: int(g.parent), Port: int(g.port), Bore: g.area}
}

// DuctSegments returns the segments of a duct from its upstream end to its
// downstream end, hood and gate left out.
func (m *Model) DuctSegments(d int) []int {
	var out []int
	for x := m.first[d]; ; x = m.seg[x].parent {
		out = append(out, int(x))
		if x == m.final[d] {
			return out
		}
	}
}

// PortSegment returns the segment of a port's mouth.
func (m *Model) PortSegment(p int) int { return int(m.ports[p]) }

// JoinNode returns the segment at whose node a duct ends, behind a gate there.
func (m *Model) JoinNode(d int) int { return int(m.seg[m.joint[d]].parent) }

// GateDuct returns the duct at one of whose ends a gate sits, and its bore.
func (m *Model) GateDuct(g int) (duct int, bore float64) {
	r := m.gates[g]
	return r.duct, m.seg[r.seg].area
}

// GateIndex returns the index of a gate by id.
func (m *Model) GateIndex(id string) (int, bool) {
	i, ok := m.gateIx[id]
	return i, ok
}

// GateID returns a gate's id.
func (m *Model) GateID(g int) string { return m.gates[g].id }

// Gates returns how many gates there are.
func (m *Model) Gates() int { return len(m.gates) }

// BinNode is the segment at whose node a leaking bin lets air in.
const BinNode = 0
