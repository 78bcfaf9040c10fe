package duct

import (
	"fmt"
	"slices"
	"strings"

	"lostair/diagnose/duct/keys"
)

// String is how the setting is written.
func (t Setting) String() string {
	switch {
	case t.All:
		return "all"
	case len(t.Gates) == 0:
		return "none"
	}
	return strings.Join(t.Gates, "+")
}

// opens says whether all of these gates are open.
func (t Setting) opens(gates []string) bool {
	return t.All || !slices.ContainsFunc(gates, func(g string) bool { return !slices.Contains(t.Gates, g) })
}

// size is how many gates a setting opens.
func (s *System) size(t Setting) int {
	if t.All {
		return len(s.Gates())
	}
	return len(t.Gates)
}

// Together are the settings that show the whole system under load: those in use with
// more than one gate open, that with the most gates first. Where each gate in use is
// open alone, it is the first of those; where the file names none in use, all open.
func (s *System) Together() []Setting {
	var out []Setting
	for _, t := range s.Settings {
		if t.All || len(t.Gates) > 1 {
			out = append(out, t)
		}
	}
	switch {
	case len(s.Settings) == 0:
		return []Setting{{All: true}}
	case len(out) == 0:
		return s.Settings[:1]
	}
	slices.SortStableFunc(out, func(a, b Setting) int { return s.size(b) - s.size(a) })
	return out
}

// Nearest is the setting in which a port is read on its own, as far as that goes: its
// own gates alone, unless the file opens them in use only with others; then the setting
// in use with the fewest gates.
func (s *System) Nearest(port int) Setting {
	own := s.GatesOf(port)
	slices.Sort(own)
	best := Setting{Gates: own}
	found := false
	for _, t := range s.Settings {
		if t.opens(own) && (!found || s.size(t) < s.size(best)) {
			best, found = t, true
		}
	}
	return best
}

// GateNamed finds the gate that an id means: that of this id; else, if only one
// has it so, in another case; else the one gate on the way of the port of that id.
func (s *System) GateNamed(id string) (string, bool) {
	if gate, ok := oneLike(s.Gates(), id); ok {
		return gate, true
	}
	p := s.portLike(id)
	if p < 0 {
		return "", false
	}
	if way := s.gatesOfPort(p); len(way) == 1 {
		return way[0], true
	}
	return "", false
}

// oneLike is the id in a list that is this one, or the only one that differs
// from it in case alone.
func oneLike(ids []string, id string) (string, bool) {
	if slices.Contains(ids, id) {
		return id, true
	}
	like, n := "", 0
	for _, x := range ids {
		if strings.EqualFold(x, id) {
			like, n = x, n+1
		}
	}
	return like, n == 1
}

// portLike is the index of the port that an id means; -1: none.
func (s *System) portLike(id string) int {
	var ids []string
	for i := range s.Ports {
		ids = append(ids, s.Ports[i].ID)
	}
	if like, ok := oneLike(ids, id); ok {
		return slices.Index(ids, like)
	}
	return -1
}

// gatesOfPort lists the gates on a port's way, from the port on. The walk is
// bounded by the number of ducts, should there be a loop.
func (s *System) gatesOfPort(p int) (out []string) {
	d := s.Ports[p].Duct
	for n := 0; d >= 0 && d < len(s.Ducts) && n <= len(s.Ducts); n++ {
		if g := s.Ducts[d].Gate; g != "" {
			out = append(out, g)
		}
		d = s.Ducts[d].Into
	}
	return out
}

// whyNoGate says why the id of a port does not tell a gate.
func (s *System) whyNoGate(p int) string {
	way := s.gatesOfPort(p)
	if len(way) == 0 {
		return fmt.Sprintf("port %s has no gate: it is always open", keys.Quote(s.Ports[p].ID))
	}
	return fmt.Sprintf("port %s has several gates on its way; name those that are open: %s", keys.Quote(s.Ports[p].ID), strings.Join(way, ", "))
}
