package duct

import (
	"math"
	"slices"
)

// shareNeeds gives each port of a machine its share of what the machine needs:
// by the inside area through which the air comes, at the same velocity in each.
func (s *System) shareNeeds() {
	for _, x := range s.Machines {
		if slices.ContainsFunc(x.Ports, s.unplaced) {
			continue // reported
		}
		var all float64
		for _, p := range x.Ports {
			all += s.mouth(p)
		}
		for _, p := range x.Ports {
			s.Ports[p].Need, s.Ports[p].Shares = x.Need*s.mouth(p)/all, true
		}
	}
}

// ownNeeds takes away shares that were given before.
func (s *System) ownNeeds() {
	for i := range s.Ports {
		if p := &s.Ports[i]; p.Shares {
			p.Need, p.Shares = 0, false
		}
	}
}

// unplaced is whether there is no such port, or no duct that it is at.
func (s *System) unplaced(p int) bool {
	return p < 0 || p >= len(s.Ports) || s.Ports[p].Duct < 0 || s.Ports[p].Duct >= len(s.Ducts)
}

// mouth is the inside area of a port.
func (s *System) mouth(p int) float64 {
	if o := s.Ports[p].Opening; o != nil {
		return o.Area()
	}
	d := s.Ducts[s.Ports[p].Duct].Diameter
	return math.Pi / 4 * d * d
}

// MachineOf is the machine that a port serves with others; false if it has none.
func (s *System) MachineOf(port int) (*Machine, bool) {
	for i := range s.Machines {
		for _, p := range s.Machines[i].Ports {
			if p == port {
				return &s.Machines[i], true
			}
		}
	}
	return nil, false
}
