package duct

import (
	"fmt"
	"slices"
	"strings"

	"lostair/diagnose/duct/keys"
	"lostair/readings/problem"
)

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
			c.add(t.Pos, "settings: "+keys.Quote(t.String())+" stands here twice", "leave one of them out")
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
			never = append(never, keys.Quote(c.s.Ports[p].ID))
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

func (c *checker) gatesOf(t *Setting) bool {
	if t.All {
		t.Gates = nil
	}
	good := true
	for j, id := range t.Gates {
		gate, ok := c.s.GateNamed(id)
		if !ok {
			look := keys.Speller{Near: c.s.Gates()}
			do, otherwise := "", "write gate ids joined with +, or all"
			if p := c.s.portLike(id); p >= 0 {
				otherwise = c.s.whyNoGate(p)
			}
			if do, ok = problem.Joined(id); !ok {
				do = look.Hint(id, otherwise)
			}
			c.add(t.Pos, "settings: there is no gate "+keys.Quote(id), do)
			good = false
			continue
		}
		t.Gates[j] = gate
	}
	slices.Sort(t.Gates)
	t.Gates = slices.Compact(t.Gates)
	return good
}
