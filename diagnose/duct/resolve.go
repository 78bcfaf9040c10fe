package duct

import (
	"fmt"
	"strings"
)

const collectorID = "collector"

// names are the ids by which rows refer to ducts, in step with the System's
// slices, until they are resolved.
type names struct {
	into  []string // of each duct
	ducts []string // of each port

	machines [][]portName // of each machine
}

// portName is the id of a port as it stands in a machine's row.
type portName struct {
	id  string
	pos Pos
}

// resolve puts indices in place of the names of ducts. What can't be
// resolved gets the index unknown.
func (r *reader) resolve(s *System, sh *sheet, n names) {
	ids := make([]string, 0, len(s.Ducts)+1)
	for i := range s.Ducts {
		ids = append(ids, s.Ducts[i].ID)
	}
	byID := byLettersOf(ids)
	look := speller{near: append(ids, collectorID)}
	for i, id := range n.into {
		s.Ducts[i].Into = unknown
		if m := &sh.ducts[i]; m.bad("into") {
			continue
		} else if id == collectorID {
			s.Ducts[i].Into = IntoCollector
		} else if j, ok := byID.find(id); ok {
			s.Ducts[i].Into = j
		} else if strings.EqualFold(id, collectorID) {
			s.Ducts[i].Into = IntoCollector
		} else if !sh.top.bad("ducts") {
			r.add(m.pos("into"), fmt.Sprintf("duct %s flows into %s, and there is no such duct", quote(s.Ducts[i].ID), quote(id)),
				look.hint(id, "write the id of a duct, or collector"))
		}
	}
	look.near = ids
	for i, id := range n.ducts {
		s.Ports[i].Duct = unknown
		if m := &sh.ports[i]; m.bad("duct") {
			continue
		} else if j, ok := byID.find(id); ok {
			s.Ports[i].Duct = j
		} else if !sh.top.bad("ducts") {
			r.add(m.pos("duct"), fmt.Sprintf("port %s is on duct %s, and there is no such duct", quote(s.Ports[i].ID), quote(id)),
				look.hint(id, "write the id of a duct that nothing flows into"))
		}
	}
	r.resolveMachines(s, n)
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
