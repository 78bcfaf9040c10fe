package duct

import (
	"fmt"
	"slices"
	"strings"

	"lostair/diagnose/duct/keys"
	"lostair/readings/problem"
)

// mostPortsSaid is how many ports an error lists. Own choice.
const mostPortsSaid = 12

// NoPort says that no port has an id, and which there are: of a machine or a gate by
// that name its own.
func (s *System) NoPort(id string) error {
	what, ids := fmt.Sprintf("there is no port %s", keys.Quote(id)), s.PortIDs()
	if name, own := s.portsBy(id); len(own) == 1 {
		return fmt.Errorf("%s; %s has the port %s", what, name, own[0])
	} else if len(own) > 1 {
		return fmt.Errorf("%s; %s has the ports %s: say one of them", what, name, problem.AndList(own))
	}
	if near, ok := problem.Nearest(keys.Cut(id), ids); ok {
		what += " (did you mean " + near + "?)"
	}
	if len(ids) > mostPortsSaid {
		return fmt.Errorf("%s; of %d ports the first are %s", what, len(ids), problem.AndList(ids[:mostPortsSaid]))
	}
	return fmt.Errorf("%s; the ports are %s", what, problem.AndList(ids))
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
		if slices.Contains(s.GatesOf(i), gates[k]) {
			own = append(own, s.Ports[i].ID)
		}
	}
	return "gate " + gates[k], own
}
