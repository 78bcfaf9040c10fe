package airflow

import (
	"fmt"

	"lostair/readings/units"
)

// Reserved points.
const (
	CollectorInlet = "collector-inlet"
	FanInlet       = "fan-inlet"
	FilterPoint    = "filter"
	BinPoint       = "bin"
)

// ProbeAt resolves a point id (tap, port or reserved point) and a quantity.
// A quantity that can't be read there is an error that says what can.
func (m *Model) ProbeAt(point string, q units.Quantity) (Probe, error) {
	p := Probe{what: q}
	switch point {
	case CollectorInlet:
		p.place, p.up, p.down = atInlet, 1, 1
	case FanInlet:
		p.place, p.up, p.down = atFan, m.fanSeg, m.fanSeg
	case BinPoint:
		// the reading depends on the flow through the cyclone, which may be above the bin
		p.place, p.up, p.down = atBin, max(m.cycSeg, 0), 0
	case FilterPoint:
		p.place, p.up, p.down = atFilter, m.filSeg, m.filSeg
		if m.filSeg < 0 {
			return p, fmt.Errorf("the system has no filter")
		}
		if q != units.PressureDrop {
			return p, fmt.Errorf("%s can't be read at the filter; pressure_drop can", q)
		}
		return p, nil
	default:
		if d, t, ok := m.Sys.TapAt(point); ok {
			p.place, p.down = atTap, m.tapNode[d][t]
			p.up = m.legOf(p.down)
		} else if i, ok := m.Sys.PortNamed(point); ok {
			p.place, p.up = atPort, m.ports[i]
			p.down = p.up
		} else if found, err := m.betweenParts(&p, point); found {
			return p, err
		} else if point == FanPoint {
			p.place, p.up, p.down = atMotor, m.fanSeg, m.fanSeg
			p.bore = m.seg[m.fanSeg].area
			if !q.OfMotor() {
				return p, fmt.Errorf("%s can't be read at the fan; speed, motor_current and motor_power can", q)
			}
			return p, nil
		} else {
			return p, fmt.Errorf("there is no tap or port %q", point)
		}
	}
	if q.OfMotor() {
		return p, fmt.Errorf("%s is read at the point fan only", q)
	}
	if q.OfAir() {
		return p, fmt.Errorf("%s is read at the point room only", q)
	}
	p.bore = m.seg[p.down].area
	if p.place == atPort {
		p.bore = m.mouth(m.seg[p.up].port, nil)
	}
	if q == units.PressureDrop && p.place != atFilter {
		return p, fmt.Errorf("a pressure_drop is read at the filter only")
	}
	if p.place == atBin && q != units.StaticPressure && q != units.Suction {
		return p, fmt.Errorf("at the bin only its static pressure can be read")
	}
	return p, nil
}

// legOf returns the segment of the same duct that flows into a tap's node.
func (m *Model) legOf(node int32) int32 {
	d := m.seg[node].duct
	for x := node + 1; int(x) < len(m.seg); x++ {
		if m.seg[x].parent == node && m.seg[x].duct == d {
			return x
		}
	}
	return node
}

// PortProbe is the flow into a port, as a list of one probe, or of none.
func PortProbe(m *Model, port int) []Probe {
	pr, err := m.ProbeAt(m.Sys.Ports[port].ID, units.FlowRate)
	if err != nil {
		return nil
	}
	return []Probe{pr}
}
