package airflow

// Station is a place on the air's way from a port to the fan.
type Station struct {
	Along  float64 // length of duct travelled from the port's mouth, m
	Static float64 // static pressure, Pa gauge
	Duct   int     // index into Sys.Ducts; -1: the collector
	From   float64 // distance from the duct's upstream end, m; 0 in the collector
}

// Profile returns the static pressure along the way from a port to the fan in
// the state last solved. A duct has a station at its upstream end, at each tap
// and at its downstream end; where velocity changes at a join there are two at
// the same place, before and after it. The last two are the collector's inlet
// and the fan's, at the same Along. A gate has no length: its drop stands
// between two stations at one place.
func (s *State) Profile(port int) []Station {
	m := s.m
	x := m.ports[port]
	d := int(m.seg[x].duct)
	probe := Probe{place: atPort, up: x, down: x}
	out := []Station{{0, s.static(probe), d, 0}}
	along, h := 0.0, s.exchanges()
	for {
		next := m.seg[x].parent
		if m.seg[x].length > 0 {
			along += m.seg[x].length
			out = append(out, Station{along, s.P[next], int(m.seg[x].duct), m.seg[x].at + m.seg[x].length})
		}
		x = next
		if x <= 1 {
			break
		}
		out = append(out, Station{along, s.P[x] - h[x], int(m.seg[x].duct), m.seg[x].at})
	}
	inlet := Probe{place: atInlet, up: 1, down: 1}
	return append(out, Station{along, s.static(inlet), -1, 0}, Station{along, s.fanInlet(), -1, 0})
}

// exchanges returns the static pressure lost at each segment's upstream node
// as velocity pressures change hands.
func (s *State) exchanges() []float64 {
	m := s.m
	sum, h := make([]float64, len(m.link)), make([]float64, len(m.link))
	for x := range m.link {
		if l := &m.link[x]; l.parent >= 0 {
			v, _ := s.brought(x, l, s.Q[x])
			sum[l.parent] += v
		}
	}
	for x := range m.link {
		h[x], _, _ = s.exchange(&m.link[x], s.Q[x], sum[x])
	}
	return h
}
