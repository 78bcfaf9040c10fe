package duct

import (
	"fmt"
	"slices"
	"strings"

	"lostair/readings/problem"
)

// mostPortsSaid is how many ports an error lists. Own choice.
const mostPortsSaid = 12

// NoPort says that no port has an id, and which there are: of a machine or a gate by
// that name its own.
func (s *System) NoPort(id string) error {
	what, ids := fmt.Sprintf("there is no port %s", quote(id)), s.portIDs()
	if name, own := s.portsBy(id); len(own) == 1 {
		return fmt.Errorf("%s; %s has the port %s", what, name, own[0])
	} else if len(own) > 1 {
		return fmt.Errorf("%s; %s has the ports %s: say one of them", what, name, andList(own))
	}
	if near, ok := problem.Nearest(cut(id), ids); ok {
		what += " (did you mean " + near + "?)"
	}
	if len(ids) > mostPortsSaid {
		return fmt.Errorf("%s; of %d ports the first are %s", what, len(ids), andList(ids[:mostPortsSaid]))
	}
	return fmt.Errorf("%s; the ports are %s", what, andList(ids))
}

// portsBy are the ports of a machine, or those behind a gate, by its name.
func (s *System) portsBy(word string) (name string, own []string) {
	for _, x := range s.Machines {
		if strings.EqualFold(x.ID, word) {
			for _, p := range x.Ports {
				own = append(own, s.Ports[p].ID)
			}
			return x.ID, own
		}
	}
	for i := range s.Ports {
		if p := &s.Ports[i]; p.Machine != "" && strings.EqualFold(p.Machine, word) {
			name, own = p.Machine, append(own, p.ID)
		}
	}
	if len(own) > 0 {
		return name, own
	}
	gates := s.Gates()
	k := slices.IndexFunc(gates, func(g string) bool { return strings.EqualFold(g, word) })
	if k < 0 {
		return "", nil
	}
	for i := range s.Ports {
		for d := s.Ports[i].Duct; d >= 0; d = s.Ducts[d].Into {
			if s.Ducts[d].Gate == gates[k] {
				own = append(own, s.Ports[i].ID)
				break
			}
		}
	}
	return "gate " + gates[k], own
}

func andList(s []string) string {
	if len(s) < 2 {
		return strings.Join(s, "")
	}
	return strings.Join(s[:len(s)-1], ", ") + " and " + s[len(s)-1]
}
