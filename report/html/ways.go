package html

import (
	"slices"

	"lostair/diagnose"
	"lostair/diagnose/duct"
	"lostair/readings"
)

// ways knows the ducts that each port's air passes.
type ways struct {
	s *duct.System
}

func newWays(s *duct.System) *ways { return &ways{s} }

// open says whether a port is connected to the collector.
func (w *ways) open(port int, o readings.Open) bool {
	if o.All {
		return true
	}
	for d := w.s.Ports[port].Duct; d >= 0; d = w.s.Ducts[d].Into {
		if g := w.s.Ducts[d].Gate; g != "" {
			if _, ok := slices.BinarySearch(o.Gates, g); !ok {
				return false
			}
		}
	}
	return true
}

// along is how far a point lies from a port's mouth on the air's way, m; false
// if it doesn't lie on it.
func (w *ways) along(port int, point string) (float64, bool) {
	at, tap, isTap := w.s.TapAt(point)
	var sum float64
	for d := w.s.Ports[port].Duct; d >= 0; d = w.s.Ducts[d].Into {
		if isTap && d == at {
			return sum + w.s.Ducts[d].Taps[tap].Distance, true
		}
		sum += w.s.Ducts[d].Length
	}
	switch p, isPort := w.s.PortNamed(point); {
	case point == readings.CollectorInlet, point == readings.FanInlet:
		return sum, true
	case isPort && p == port:
		return 0, true
	}
	return 0, false
}

// points counts the points of checks that lie on a port's own ducts or its way.
// One that only this port's way passes counts most, so that each port is shown
// in the configuration that was read for it.
func (w *ways) points(port int, checks []diagnose.Check, which []int) int {
	n := 0
	var seen []string
	for _, i := range which {
		p := checks[i].Reading.Point
		if slices.Contains(seen, p) {
			continue
		}
		seen = append(seen, p)
		if _, ok := w.along(port, p); !ok {
			continue
		}
		n++
		if d, _, ok := w.s.TapAt(p); ok && len(w.s.Ducts[d].Children) <= 1 && w.ownOf(port, d) {
			n += 100
		}
	}
	return n
}

// ownOf says whether only this port breathes through duct d.
func (w *ways) ownOf(port, d int) bool {
	for len(w.s.Ducts[d].Children) == 1 {
		d = w.s.Ducts[d].Children[0]
	}
	return w.s.Ports[port].Duct == d
}
