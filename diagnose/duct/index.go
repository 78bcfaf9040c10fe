package duct

import (
	"fmt"
	"slices"
)

func newIndex(s *System) *index {
	x := &index{
		ducts: make(map[string]int, len(s.Ducts)),
		ports: make(map[string]int, len(s.Ports)),
		taps:  map[string][2]int{},
	}
	for i := len(s.Ducts) - 1; i >= 0; i-- { // backwards: of two alike the first one stays
		d := &s.Ducts[i]
		x.ducts[d.ID] = i
		for j := len(d.Taps) - 1; j >= 0; j-- {
			x.taps[d.Taps[j].ID] = [2]int{i, j}
		}
	}
	for i := len(s.Ports) - 1; i >= 0; i-- {
		x.ports[s.Ports[i].ID] = i
	}
	return x
}

// TapAt returns the duct and tap index of a tap id.
func (s *System) TapAt(id string) (duct, tap int, ok bool) {
	x := s.index
	if x == nil { // built by hand and not finished: a scan each time
		x = newIndex(s)
	}
	at, ok := x.taps[id]
	return at[0], at[1], ok
}

// DuctNamed returns the index of a duct by id.
func (s *System) DuctNamed(id string) (int, bool) {
	x := s.index
	if x == nil {
		x = newIndex(s)
	}
	i, ok := x.ducts[id]
	return i, ok
}

// GatesOf are the gates between a port and the collector, from the port on.
func (s *System) GatesOf(port int) []string {
	var out []string
	for d := s.Ports[port].Duct; d >= 0; d = s.Ducts[d].Into {
		if g := s.Ducts[d].Gate; g != "" {
			out = append(out, g)
		}
	}
	return out
}

// FreshTap is an id for a hole that is to be drilled in a duct.
func (s *System) FreshTap(d int) string {
	id := s.Ducts[d].ID + "-tap"
	for n := 2; s.named(id); n++ {
		id = fmt.Sprintf("%s-tap%d", s.Ducts[d].ID, n)
	}
	return id
}

// named is whether something has an id.
func (s *System) named(id string) bool {
	_, _, tap := s.TapAt(id)
	_, port := s.PortNamed(id)
	_, duct := s.DuctNamed(id)
	return tap || port || duct || slices.ContainsFunc(s.Ducts, func(d Duct) bool { return d.Gate == id })
}

// PortNamed returns the index of a port by id.
func (s *System) PortNamed(id string) (int, bool) {
	x := s.index
	if x == nil {
		x = newIndex(s)
	}
	i, ok := x.ports[id]
	return i, ok
}

// Gates returns the ids of all gates in file order.
func (s *System) Gates() []string {
	var out []string
	for i := range s.Ducts {
		if s.Ducts[i].Gate != "" {
			out = append(out, s.Ducts[i].Gate)
		}
	}
	return out
}

// PortIDs returns the ids of all ports in file order.
func (s *System) PortIDs() []string {
	var ids []string
	for i := range s.Ports {
		ids = append(ids, s.Ports[i].ID)
	}
	return ids
}
