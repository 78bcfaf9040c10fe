package systemfile

import (
	"fmt"
	"strings"

	"lostair/diagnose/duct"
	"lostair/diagnose/duct/keys"
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
	pos keys.Pos
}

// resolve puts indices in place of the names of ducts. What can't be
// resolved gets the index Unknown.
func (r *reader) resolve(s *duct.System, sh *keys.Sheet, n names) {
	ids := make([]string, 0, len(s.Ducts)+1)
	for i := range s.Ducts {
		ids = append(ids, s.Ducts[i].ID)
	}
	byID := byLettersOf(ids)
	look := keys.Speller{Near: append(ids, collectorID)}
	for i, id := range n.into {
		s.Ducts[i].Into = duct.Unknown
		if m := &sh.Ducts[i]; m.Bad("into") {
			continue
		} else if id == collectorID {
			s.Ducts[i].Into = duct.IntoCollector
		} else if j, ok := byID.find(id); ok {
			s.Ducts[i].Into = j
		} else if strings.EqualFold(id, collectorID) {
			s.Ducts[i].Into = duct.IntoCollector
		} else if !sh.Top.Bad("ducts") {
			r.add(m.Pos("into"), fmt.Sprintf("duct %s flows into %s, and there is no such duct", keys.Quote(s.Ducts[i].ID), keys.Quote(id)),
				look.Hint(id, "write the id of a duct, or collector"))
		}
	}
	look.Near = ids
	for i, id := range n.ducts {
		s.Ports[i].Duct = duct.Unknown
		if m := &sh.Ports[i]; m.Bad("duct") {
			continue
		} else if j, ok := byID.find(id); ok {
			s.Ports[i].Duct = j
		} else if !sh.Top.Bad("ducts") {
			r.add(m.Pos("duct"), fmt.Sprintf("port %s is on duct %s, and there is no such duct", keys.Quote(s.Ports[i].ID), keys.Quote(id)),
				look.Hint(id, "write the id of a duct that nothing flows into"))
		}
	}
	r.resolveMachines(s, n)
}

// resolveMachines puts indices in place of the ids of ports.
func (r *reader) resolveMachines(s *duct.System, n names) {
	ids := s.PortIDs()
	look, byID := keys.Speller{Near: ids}, byLettersOf(ids)
	for i, ports := range n.machines {
		x := &s.Machines[i]
		for _, p := range ports {
			k, ok := byID.find(p.id)
			if !ok {
				r.add(p.pos, fmt.Sprintf("machine %s has port %s, and there is no such port", keys.Quote(x.ID), keys.Quote(p.id)), look.Hint(p.id, "write the id of a port"))
				k = duct.Unknown
			}
			x.Ports = append(x.Ports, k)
		}
	}
}
