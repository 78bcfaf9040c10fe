package airflow

import "lostair/diagnose/handbook"

// compileParts takes the page apart into its contributions.
func (m *Model) compileParts() {
	for x := range m.seg {
		m.segmentParts(x)
	}
	for i, g := range m.gates {
		d := int32(g.duct)
		m.part(OpenGate, SlotGateOpen, i, handbook.GateOpenLoss, d, none, int32(i))
		m.part(ShutGate, SlotGateArea, i, handbook.GateShutShare*m.seg[g.seg].area, d, none, int32(i))
	}
	if in := m.Sys.Room.Inlets; in > 0 {
		// The fan pushes the air out against the room's own suction.
		m.common(RoomInlets, SlotK, handbook.InletLoss(m.seg[0].area, in))
	}
	m.common(FanSpeed, SlotSpeed, 1)
	m.common(FanPressure, SlotPressure, 1)
	m.common(FanMostAir, SlotMostAir, 1)
	m.common(FanShape, SlotShape, 1)
	m.common(FanBend, SlotBend, 0)
	m.motorParts()
	m.common(CycloneLoss, SlotCyclone, 1)
	m.common(FilterLoss, SlotFilter, 1)
	m.common(BinShare, SlotBin, handbook.BinShare)
}

func (m *Model) segmentParts(x int) {
	g := &m.seg[x]
	if g.port >= 0 {
		p := &m.Sys.Ports[g.port]
		m.part(Hood, SlotK, x, handbook.HoodLoss(p), g.duct, g.port, none)
		if k := handbook.OpeningLoss(p, g.area); k > 0 {
			m.part(Section, SlotK, x, k, g.duct, g.port, none)
		}
		m.part(PlainEnd, SlotPlain, int(g.port), handbook.PlainLoss(), g.duct, g.port, none)
		return
	}
	if g.duct < 0 {
		return
	}
	if g.gate >= 0 {
		if int32(x) == m.joint[g.duct] {
			m.joinParts(x)
		}
		return
	}
	d := &m.Sys.Ducts[g.duct]
	share := 1.0
	if d.Length > 0 {
		share = g.length / d.Length
	}
	m.part(Friction, SlotFriction, x, handbook.CompressionFactor(d.Compressed, d.Diameter), g.duct, none, none)
	bends, free := handbook.FittingLoss(d)
	if bends > 0 {
		m.part(Bends, SlotK, x, bends*share, g.duct, none, none)
	}
	if free != 0 {
		m.part(FreeLoss, SlotK, x, free*share, g.duct, none, none)
	}
	// Half of a segment's background leakage comes in at either end.
	seep := handbook.LeakageClass * g.surface / 2
	m.part(Seepage, SlotSeep, x, seep, g.duct, none, none)
	m.part(Seepage, SlotSeep, int(g.parent), seep, g.duct, none, none)
	if int32(x) == m.joint[g.duct] {
		m.joinParts(x)
	}
	if m.seg[x].node == joinNode {
		m.part(Passage, SlotK, x, 0, g.duct, none, none)
	}
}

// joinParts adds what a duct's last segment loses where it ends: at a change of
// section, on the velocity pressure of the smaller duct, or at a join.
func (m *Model) joinParts(x int) {
	g := &m.seg[x]
	d := &m.Sys.Ducts[g.duct]
	entry := handbook.EntryLoss(d.Angle)
	switch m.seg[g.parent].node {
	case joinNode:
		var law handbook.Leg
		if m.join == Momentum {
			law = g.law
			entry = law.Loses
		}
		m.part(Entry, SlotK, x, entry, g.duct, none, none)
		m.parts[len(m.parts)-1].Apart = law.LossApart
		m.part(Exchange, SlotBring, x, 1, g.duct, none, none)
		m.parts[len(m.parts)-1].Apart = law.BringApart
	case sectionNode:
		k := handbook.SectionLoss(g.area, m.seg[g.parent].area, d.Abrupt)
		if g.area <= m.seg[g.parent].area {
			m.part(Section, SlotK, x, k, g.duct, none, none)
		} else {
			m.part(Section, SlotK, int(g.parent), k, g.duct, none, none)
		}
		if entry > 0 {
			m.part(Entry, SlotK, x, entry, g.duct, none, none)
		}
	}
}

func (m *Model) motorParts() {
	power, amps := handbook.MotorFull(m.Sys)
	m.common(FanTurns, SlotTurns, handbook.FanTurns(m.Sys))
	m.common(MotorFull, SlotMotorFull, power)
	m.common(MotorIdle, SlotMotorIdle, handbook.IdleShare)
	m.common(MotorAmps, SlotMotorAmps, amps)
}

func (m *Model) part(w What, k SlotKind, ix int, base float64, d, p, g int32) {
	m.parts = append(m.parts, Part{What: w, Slot: Slot{k, int32(ix)}, Base: base, Duct: d, Port: p, Gate: g})
}

// none is no duct, port or gate.
const none = -1

// common adds a part that lies in no duct.
func (m *Model) common(w What, k SlotKind, base float64) { m.part(w, k, 0, base, none, none, none) }

// sum adds parts up to coefficients.
func (m *Model) sum(parts []Part) Coefs {
	c := m.NewCoefs()
	for _, p := range parts {
		*p.Slot.Of(&c) += p.Base
	}
	return c
}
