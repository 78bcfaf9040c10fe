package duct

import (
	"fmt"

	"lostair/diagnose/duct/keys"
)

// machines checks each machine by itself and against the others.
func (c *checker) machines() {
	seen := map[string]bool{}
	owner := map[int]string{}
	for i := range c.s.Machines {
		x, m := &c.s.Machines[i], &c.sh.Machines[i]
		who := "machine " + keys.Quote(x.ID)
		c.within(m, "machines", "need", who, x.Need)
		if seen[x.ID] && !m.Bad("id") {
			c.add(m.Pos("id"), "there is a second "+who, "give one of them another id")
		}
		seen[x.ID] = true
		if len(x.Ports) == 0 && !m.Bad("ports") {
			c.add(m.Pos("ports"), who+" has no port", "list the ids of its ports, for example [top, belly]")
		}
		for _, p := range x.Ports {
			if p < 0 || p >= len(c.s.Ports) {
				continue // reported
			}
			port := &c.s.Ports[p]
			if by, taken := owner[p]; taken {
				c.add(m.Pos("ports"), fmt.Sprintf("%s has port %s, which machine %s has already", who, keys.Quote(port.ID), keys.Quote(by)), "list each port with one machine")
				continue
			}
			owner[p] = x.ID
			if port.Need > 0 {
				c.add(c.sh.Ports[p].Pos("need"), fmt.Sprintf("port %s has a need of its own, and so has %s, which it serves", keys.Quote(port.ID), who), "leave one of them out")
			}
		}
	}
}
