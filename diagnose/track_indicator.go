package diagnose

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
)

// indicator is something of the system that may change between surveys. It is
// a parameter of its own in each survey, 0 as long as nothing has changed.
type indicator struct {
	kind  Kind
	where string // the zone's ducts, a port, "bin", "filter" or "fan"
	ducts []int
	spots []spot
	unit  float64 // change at parameter 1: m² of a leak, K of an obstruction, else logarithm
	usual float64 // of the filter: what its state varies by from survey to survey, by the page
	param int     // in the study it was added to
}

// How far a change lies within the usual, as standard deviations. They steer
// how what moves together is shared out, not what is flagged. Common practice, no source.
const (
	leakChange     = 0.015 // share of the bore
	obstructChange = 0.6   // K on the port's velocity pressure
	filterChange   = 0.5   // logarithm
	fanChange      = 0.02  // logarithm of the speed
)

// What a sound filter and fan vary by from day to day, logarithm; the fan's is speedOfDay.
const filterOfDay = 0.08

// indicators lists what is tracked: leaks by zone, obstructions by port, filter and fan.
func indicators(m *airflow.Model, zones [][]int) []*indicator {
	var out []*indicator
	for _, z := range zones {
		x := &indicator{kind: Leak, ducts: z, where: zoneName(m, z)}
		total, bore := 0.0, 0.0
		for _, d := range z {
			total += m.Sys.Ducts[d].Length
			bore = math.Max(bore, m.Position(m.DuctSegments(d)[0]).Bore)
		}
		for _, d := range z {
			segs := m.DuctSegments(d)
			w := m.Sys.Ducts[d].Length / total / float64(len(segs))
			for _, g := range segs {
				x.spots = append(x.spots, spot{airflow.Slot{Kind: airflow.SlotLeak, Ix: int32(g)}, w / 2},
					spot{airflow.Slot{Kind: airflow.SlotLeak, Ix: int32(m.Position(g).Parent)}, w / 2})
			}
		}
		x.unit = leakChange * bore
		out = append(out, x)
	}
	if m.Sys.Collector.Bin {
		out = append(out, &indicator{kind: Leak, where: "bin", unit: leakChange * m.Position(airflow.BinNode).Bore,
			spots: []spot{{airflow.Slot{Kind: airflow.SlotLeak, Ix: airflow.BinNode}, 1}}})
	}
	for p := range m.Sys.Ports {
		out = append(out, &indicator{kind: Blockage, where: m.Sys.Ports[p].ID, ducts: []int{m.Sys.Ports[p].Duct}, unit: obstructChange,
			spots: []spot{{airflow.Slot{Kind: airflow.SlotK, Ix: int32(m.PortSegment(p))}, 1}}})
	}
	if m.Sys.Collector.Filter != nil {
		out = append(out, &indicator{kind: FilterLoaded, where: "filter", unit: filterChange})
	}
	return append(out, &indicator{kind: FanWeak, where: "fan", unit: fanChange})
}

// zoneName names a zone by its ducts.
func zoneName(m *airflow.Model, z []int) string {
	if len(z) > 3 {
		return fmt.Sprintf("%s and %d more", m.Sys.Ducts[z[0]].ID, len(z)-1)
	}
	s := ""
	for i, d := range z {
		if i > 0 {
			s += ", "
		}
		s += m.Sys.Ducts[d].ID
	}
	return s
}

// watch adds indicators to a study; each gets its parameter. The filter and the
// fan have one already, which becomes as wide as the indicator.
func (s *study) watch(list []*indicator) []*indicator {
	out := make([]*indicator, len(list))
	for i, x := range list {
		y := *x
		switch x.kind {
		case FilterLoaded:
			y.param = s.day - 2
			y.usual = s.u.parts[s.u.filter].sd[0]
			s.u.parts[s.u.filter].sd[0] = x.unit
		case FanWeak:
			y.param = s.day - 1
			s.u.parts[s.u.speed].sd[2] = x.unit
		default:
			y.param = s.n
			s.n++
			for _, sp := range x.spots {
				s.u.parts = append(s.u.parts, partUnknown{Part: airflow.Part{Slot: sp.slot, Duct: -1, Port: -1, Gate: -1},
					added: true, ix: [3]int32{int32(y.param), -1, -1}, sd: [3]float64{sp.share * x.unit}})
			}
		}
		out[i] = &y
	}
	s.vals = make([]float64, len(s.u.parts))
	s.pr.mean = append(s.pr.mean, make([]float64, s.n-len(s.pr.mean))...)
	if s.pr.v != nil {
		r, k := s.pr.v.Dims()
		v := mat.NewDense(s.n, k, nil)
		v.Slice(0, r, 0, k).(*mat.Dense).Copy(s.pr.v)
		s.pr.v = v
	}
	return out
}
