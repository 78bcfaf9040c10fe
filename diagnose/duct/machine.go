package duct

import (
	"fmt"
	"strings"

	"github.com/goccy/go-yaml/ast"

	"lostair/readings/units"
)

// Machine is one that several ports serve, with one need.
type Machine struct {
	ID    string
	Ports []int   // indices into System.Ports, in the order of the file
	Need  float64 // m³/s, of all its ports together
	Pos   Pos
}

// Room is how the shop gets its air.
type Room struct {
	Inlets float64 // open area, m²; 0: as much comes in as the fan takes
	// Guessed: no file has these inlets; readings are to tell how wide they are.
	Guessed bool
}

// portName is the id of a port as it stands in a machine's row.
type portName struct {
	id  string
	pos Pos
}

func (r *reader) machine(f *fields) (Machine, []portName) {
	x := Machine{ID: f.text("id"), Need: f.number("need", 0), Pos: f.row}
	var ports []portName
	if text, ok := plain(f.node("ports")); ok {
		r.add(at(f.node("ports")), f.who+": ports is not a list", portsInBrackets(text))
		f.find("ports").bad = true
		return x, nil
	}
	whole := r.rows(f.node("ports"), f.who+": ports", func(_ int, row ast.Node) bool {
		id, ok := plain(row)
		if !ok {
			r.add(at(row), f.who+": this is no port's id", "write the ids of its ports, for example [top, belly]")
			return false
		}
		ports = append(ports, portName{id, at(row)})
		return true
	})
	if m := f.find("ports"); m != nil && !whole {
		m.bad = true
	}
	return x, ports
}

// portsInBrackets says how ports are listed that stand there as one text.
func portsInBrackets(text string) string {
	var ids []string
	for _, id := range strings.FieldsFunc(cut(text), func(c rune) bool { return strings.ContainsRune("+,;&", c) }) {
		if id = strings.TrimSpace(id); id != "" {
			ids = append(ids, scalar(id))
		}
	}
	return "write them in brackets: [" + strings.Join(ids, ", ") + "]"
}

// resolveMachines puts indices in place of the ids of ports.
func (r *reader) resolveMachines(s *System, n names) {
	ids := s.portIDs()
	look, byID := speller{near: ids}, byLettersOf(ids)
	for i, ports := range n.machines {
		x := &s.Machines[i]
		for _, p := range ports {
			k, ok := byID.find(p.id)
			if !ok {
				r.add(p.pos, fmt.Sprintf("machine %s has port %s, and there is no such port", quote(x.ID), quote(p.id)), look.hint(p.id, "write the id of a port"))
				k = unknown
			}
			x.Ports = append(x.Ports, k)
		}
	}
}

func (s *System) portIDs() []string {
	var ids []string
	for i := range s.Ports {
		ids = append(ids, s.Ports[i].ID)
	}
	return ids
}

// machines checks each machine by itself and against the others.
func (c *checker) machines() {
	seen := map[string]bool{}
	owner := map[int]string{}
	for i := range c.s.Machines {
		x, m := &c.s.Machines[i], &c.sh.machines[i]
		who := "machine " + quote(x.ID)
		c.within(m, "machines", "need", who, x.Need)
		if seen[x.ID] && !m.bad("id") {
			c.add(m.pos("id"), "there is a second "+who, "give one of them another id")
		}
		seen[x.ID] = true
		if len(x.Ports) == 0 && !m.bad("ports") {
			c.add(m.pos("ports"), who+" has no port", "list the ids of its ports, for example [top, belly]")
		}
		for _, p := range x.Ports {
			if p < 0 || p >= len(c.s.Ports) {
				continue // reported
			}
			port := &c.s.Ports[p]
			if by, taken := owner[p]; taken {
				c.add(m.pos("ports"), fmt.Sprintf("%s has port %s, which machine %s has already", who, quote(port.ID), quote(by)), "list each port with one machine")
				continue
			}
			owner[p] = x.ID
			if port.Need > 0 {
				c.add(c.sh.ports[p].pos("need"), fmt.Sprintf("port %s has a need of its own, and so has %s, which it serves", quote(port.ID), who), "leave one of them out")
			}
		}
	}
}

func (w *writer) machines(s *System) {
	if len(s.Machines) == 0 {
		return
	}
	w.line("\nmachines:")
	for _, x := range s.Machines {
		var ports []string
		for _, p := range x.Ports {
			ports = append(ports, scalar(s.Ports[p].ID))
		}
		w.line("  - {id: %s, ports: [%s], need: %s}", scalar(x.ID), strings.Join(ports, ", "), w.number(x.Need, units.Flow))
	}
}
