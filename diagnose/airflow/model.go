package airflow

import (
	"lostair/diagnose/duct"
	"lostair/diagnose/handbook"
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
	Air handbook.Air

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
	fan     *handbook.FanCurve
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

// Join is a law for the exchange of velocity pressure where ducts meet.
type Join uint8

type nodeKind uint8

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
	at      float64      // distance of the upstream end from the duct's upstream end
	takes   float64      // momentum that leaves its upstream node, on its velocity pressure
	law     handbook.Leg // of the join that it flows into
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

// Coefs returns a copy of the page's coefficients, to be changed by the caller.
func (m *Model) Coefs() Coefs { return m.base.Clone() }

// NewCoefs returns coefficients that are all zero.
func (m *Model) NewCoefs() Coefs {
	n, g := len(m.seg), len(m.gates)
	all := make([]float64, bySegment*n+2*g+len(m.ports))
	c := Coefs{K: all[:n], Friction: all[:n], Leak: all[:n], Seep: all[:n], Bring: all[:n], GateOpen: all[:g], GateArea: all[:g], Plain: all[:len(m.ports)]}
	c.lay(all)
	return c
}

// At returns where a coefficient stands in Flat; -1 for one that stands by itself.
func (m *Model) At(s Slot) int {
	n, g := len(m.seg), len(m.gates)
	switch s.Kind {
	case SlotGateOpen, SlotGateArea:
		return bySegment*n + int(s.Kind-SlotGateOpen)*g + int(s.Ix)
	case SlotPlain:
		return bySegment*n + 2*g + int(s.Ix)
	case SlotSpeed, SlotPressure, SlotMostAir, SlotShape, SlotBend, SlotTurns, SlotMotorFull, SlotMotorIdle, SlotMotorAmps, SlotCyclone, SlotFilter, SlotBin:
		return -1
	}
	return int(s.Kind)*n + int(s.Ix)
}

// Parts returns the parts of the page's coefficients. The slice must not be changed.
func (m *Model) Parts() []Part { return m.parts }

// FanCurve gives the fan static pressure at a flow by given coefficients, with
// any parts that its curve includes added back.
func (m *Model) FanCurve(q float64, c *Coefs) float64 {
	return c.Pressure * m.fan.At(q, m.Air.Density, c.fan()).P
}

// FanEnds are the ends of the fan's curve by given coefficients at its own
// density, as they stand in the system file: most air and most suction.
func (m *Model) FanEnds(c *Coefs) (mostAir, mostSuction float64) {
	s := c.Speed
	return m.fan.Last.Flow * c.MostAir * s, m.fan.First.Pressure * c.Pressure * s * s
}

const (
	// Momentum: the momentum that the legs bring along the main's axis less
	// what leaves must be made up by static pressure, with factors midway
	// between two published laws (handbook.NewJoint).
	Momentum Join = iota
	// Handbook: a branch loses EntryLoss on its velocity pressure; the main
	// pays for acceleration above the resultant velocity pressure and gets
	// nothing back when it slows. ACGIH Industrial Ventilation, design procedure.
	Handbook
)

const (
	portNode    nodeKind = iota // room upstream: no node
	inlineNode                  // one duct goes on, or a leak comes in
	sectionNode                 // one duct of another diameter flows in
	joinNode                    // several ducts meet
)

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
