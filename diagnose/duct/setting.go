package duct

import (
	"fmt"
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"

	"lostair/readings/problem"
)

// Setting is one of the gate settings in use, as the readings file's column
// open has it.
type Setting struct {
	All   bool
	Gates []string // sorted, without duplicates; empty and not All: none
	Pos   Pos
}

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

// settings reads the gate settings in use. Whether there are such gates is
// checked when the whole file is known.
func (r *reader) settings(n ast.Node) (out []Setting) {
	if text, ok := plain(n); ok && n != nil {
		r.add(at(n), "settings is not a list", "write it in brackets, a comma between two settings: ["+strings.TrimSpace(cut(text))+"]")
		return nil
	}
	r.rows(n, "settings", func(_ int, row ast.Node) bool {
		text, ok := plain(row)
		if !ok {
			r.add(at(row), "settings: this is no gate setting", "write gate ids joined with +, or all")
			return false
		}
		t := Setting{Pos: at(row)}
		switch word := strings.ToLower(strings.TrimSpace(text)); word {
		case "all", "none":
			t.All = word == "all"
		default:
			for _, id := range strings.Split(text, "+") {
				t.Gates = append(t.Gates, strings.TrimSpace(id))
			}
		}
		out = append(out, t)
		return true
	})
	return out
}

// settings checks the gate settings in use and names their gates by their own
// ids, sorted.
func (c *checker) settings() {
	seen := map[string]bool{}
	for i := range c.s.Settings {
		t := &c.s.Settings[i]
		if !c.gatesOf(t) {
			continue
		}
		if seen[t.String()] {
			c.add(t.Pos, "settings: "+quote(t.String())+" stands here twice", "leave one of them out")
		}
		seen[t.String()] = true
	}
	if len(seen) == len(c.s.Settings) && len(seen) > 0 {
		c.neverOpen()
	}
}

// neverOpen warns of ports that draw air in none of the settings in use.
func (c *checker) neverOpen() {
	var never []string
	for p := range c.s.Ports {
		way := c.s.gatesOfPort(p)
		if !slices.ContainsFunc(c.s.Settings, func(t Setting) bool { return t.opens(way) }) {
			never = append(never, quote(c.s.Ports[p].ID))
		}
	}
	switch n := len(never); n {
	case 0:
	case 1:
		c.warn(c.s.Settings[0].Pos, "port "+never[0]+" is open in none of the settings", "add the setting in which it is used, or its need is never looked at")
	default:
		c.warn(c.s.Settings[0].Pos, fmt.Sprintf("%d ports are open in none of the settings: %s and %s", n, strings.Join(never[:n-1], ", "), never[n-1]),
			"add the settings in which they are used, or their needs are never looked at")
	}
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

func (c *checker) gatesOf(t *Setting) bool {
	if t.All {
		t.Gates = nil
	}
	good := true
	for j, id := range t.Gates {
		gate, ok := c.s.GateNamed(id)
		if !ok {
			look := speller{near: c.s.Gates()}
			do, otherwise := "", "write gate ids joined with +, or all"
			if p := c.s.portLike(id); p >= 0 {
				otherwise = c.s.whyNoGate(p)
			}
			if do, ok = problem.Joined(id); !ok {
				do = look.hint(id, otherwise)
			}
			c.add(t.Pos, "settings: there is no gate "+quote(id), do)
			good = false
			continue
		}
		t.Gates[j] = gate
	}
	slices.Sort(t.Gates)
	t.Gates = slices.Compact(t.Gates)
	return good
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
		return fmt.Sprintf("port %s has no gate: it is always open", quote(s.Ports[p].ID))
	}
	return fmt.Sprintf("port %s has several gates on its way; name those that are open: %s", quote(s.Ports[p].ID), strings.Join(way, ", "))
}
