package duct

import (
	"fmt"
	"math"
	"strings"

	"lostair/diagnose/duct/keys"
	"lostair/readings/units"
)

// maxDucts keeps the cost of any file in proportion to its size, as the limits of the reader do.
const maxDucts = 200_000

// tree checks how ducts and ports hang together, and fills in Children, Port
// and Order.
func (c *checker) tree() {
	if n := len(c.s.Ducts); n > maxDucts {
		c.add(c.sh.Top.Pos("ducts"), fmt.Sprintf("the system has %d ducts, more than %d", n, maxDucts), "split the plant into its duct systems")
		return
	}
	lost := c.link()
	c.inOrder()
	looped := c.loops()
	if !looped && lost == 0 && len(c.into(IntoCollector)) == 0 && !c.sh.Top.Bad("ducts") {
		c.add(c.sh.Top.Pos("ducts"), "nothing flows into the collector", "write into: collector for the duct that ends there")
	}
	c.ends(lost)
	if !looped && lost == 0 { // else they would speak of the wrong joins
		c.joins()
		c.straights()
	}
	c.gatesOfPorts()
}

// link fills in Children and Port, and counts the ducts and ports that name a
// duct that there isn't.
func (c *checker) link() (lost int) {
	s := c.s
	for i := range s.Ducts {
		s.Ducts[i].Children, s.Ducts[i].Port = nil, -1
	}
	for i := range s.Ducts {
		switch into := s.Ducts[i].Into; {
		case into == IntoCollector:
		case into >= 0 && into < len(s.Ducts):
			s.Ducts[into].Children = append(s.Ducts[into].Children, i)
		default:
			lost++
			if into != Unknown {
				c.add(s.Ducts[i].Pos, fmt.Sprintf("duct %s flows into duct number %d, and there is none", keys.Quote(s.Ducts[i].ID), into), "set Into to the index of a duct, or to IntoCollector")
			}
		}
	}
	for i := range s.Ports {
		if !c.linkPort(i) {
			lost++
		}
	}
	return lost
}

func (c *checker) linkPort(i int) bool {
	s := c.s
	p, m := &s.Ports[i], &c.sh.Ports[i]
	if p.Duct < 0 || p.Duct >= len(s.Ducts) {
		if p.Duct != Unknown {
			c.add(p.Pos, fmt.Sprintf("port %s is on duct number %d, and there is none", keys.Quote(p.ID), p.Duct), "set Duct to the index of a duct")
		}
		return false
	}
	d := &s.Ducts[p.Duct]
	switch {
	case len(d.Children) > 0:
		up := &s.Ducts[d.Children[0]]
		c.add(m.Pos("duct"), fmt.Sprintf("port %s is on duct %s, and duct %s flows into that one", keys.Quote(p.ID), keys.Quote(d.ID), keys.Quote(up.ID)),
			"a port is at a duct's open upstream end: give it a duct of its own that flows in there")
	case d.Port >= 0:
		c.add(m.Pos("duct"), fmt.Sprintf("port %s is on duct %s, where port %s is already", keys.Quote(p.ID), keys.Quote(d.ID), keys.Quote(s.Ports[d.Port].ID)),
			"give each port a duct of its own")
	default:
		d.Port = i
	}
	return true
}

// inOrder fills in Order: from the collector up, level by level.
func (c *checker) inOrder() {
	s := c.s
	s.Order = make([]int, 0, len(s.Ducts))
	for i := range s.Ducts {
		if s.Ducts[i].Into == IntoCollector {
			s.Order = append(s.Order, i)
		}
	}
	for at := 0; at < len(s.Order); at++ {
		s.Order = append(s.Order, s.Ducts[s.Order[at]].Children...)
	}
}

// loops reports each ring of ducts that flow into one another, once.
func (c *checker) loops() bool {
	s := c.s
	const fresh, here, done = 0, 1, 2
	state := make([]uint8, len(s.Ducts))
	found := false
	for i := range s.Ducts {
		var path []int
		j := i
		for j >= 0 && j < len(s.Ducts) && state[j] == fresh {
			state[j] = here
			path = append(path, j)
			j = s.Ducts[j].Into
		}
		if j >= 0 && j < len(s.Ducts) && state[j] == here {
			found = true
			c.loop(path, j)
		}
		for _, k := range path {
			state[k] = done
		}
	}
	return found
}

// loop reports the ring that ends path and begins with duct first.
func (c *checker) loop(path []int, first int) {
	for path[0] != first {
		path = path[1:]
	}
	const most = 10
	var ring []string
	for _, k := range path {
		if len(ring) == most {
			ring = append(ring, fmt.Sprintf("… (%d ducts)", len(path)))
			break
		}
		ring = append(ring, keys.Quote(c.s.Ducts[k].ID))
	}
	ring = append(ring, keys.Quote(c.s.Ducts[first].ID))
	c.add(c.sh.Ducts[first].Pos("into"), "these ducts flow in a loop: "+strings.Join(ring, " → "), "let one of them flow towards the collector")
}

// often is from how many ducts on a thing is said once of all.
const often = 8

// ends reports each duct at whose upstream end neither a duct nor a port is.
// No more of them than names were lost: those are likely what was meant.
func (c *checker) ends(lost int) {
	var bare []int
	for i := range c.s.Ducts {
		d := &c.s.Ducts[i]
		if len(d.Children) == 0 && d.Port < 0 && !c.sh.Ducts[i].Bad("id") {
			bare = append(bare, i)
		}
	}
	if len(bare) <= lost || c.sh.Top.Bad("ports") {
		return
	}
	if len(bare) >= often {
		c.add(c.sh.Ducts[bare[0]].Row, fmt.Sprintf("nothing flows into %d ducts and they have no port: %s", len(bare), c.firstOf(bare)),
			"add a port for each, with duct: and its id, or take the ducts out")
		return
	}
	for _, i := range bare {
		id := c.s.Ducts[i].ID
		c.add(c.sh.Ducts[i].Row, fmt.Sprintf("nothing flows into duct %s and it has no port", keys.Quote(id)),
			"add a port with duct: "+keys.Quote(id)+", or take the duct out")
	}
}

// firstOf names the first of many ducts, and says how many more there are.
func (c *checker) firstOf(ducts []int) string {
	return firstOf(len(ducts), func(k int) string { return keys.Quote(c.s.Ducts[ducts[k]].ID) })
}

// firstOf names the first of n, and says how many more there are.
func firstOf(n int, name func(k int) string) string {
	const some = 3
	var first []string
	for k := range some {
		first = append(first, name(k))
	}
	return fmt.Sprintf("%s and %d more", strings.Join(first, ", "), n-some)
}

// joins warns of what can be but seldom is.
func (c *checker) joins() {
	s := c.s
	var wider, angled []int // than what they flow into; that nothing joins
	for i := range s.Ducts {
		d := &s.Ducts[i]
		if d.Into < 0 {
			c.inlet(d)
			continue
		}
		down := &s.Ducts[d.Into]
		const same = 1 + 1e-6
		if !c.sh.Loose && possible(d.Diameter) && possible(down.Diameter) && d.Diameter > down.Diameter*same {
			wider = append(wider, i)
		}
		if !d.Straight && len(down.Children) == 1 && !math.IsNaN(d.Angle) {
			angled = append(angled, i)
		}
	}
	c.wider(wider)
	const do = "a bend belongs among the run's fittings, as an elbow; is a branch missing?"
	if len(angled) >= often {
		c.warn(c.sh.Ducts[angled[0]].Pos("enters"), fmt.Sprintf("%d ducts enter at an angle where nothing else flows in: %s", len(angled), c.firstOf(angled)), do)
		return
	}
	for _, i := range angled {
		d := &s.Ducts[i]
		c.warn(c.sh.Ducts[i].Pos("enters"), fmt.Sprintf("duct %s enters at an angle, and nothing else flows into %s", keys.Quote(d.ID), keys.Quote(s.Ducts[d.Into].ID)), do)
	}
}

// wider warns of ducts that are wider than those into which they flow.
func (c *checker) wider(list []int) {
	sizes := func(i int) (mine, its string, round bool) {
		d := &c.s.Ducts[i]
		down := &c.s.Ducts[d.Into]
		if d.Rectangular() || down.Rectangular() {
			return c.withArea(d), c.withArea(down), false
		}
		return c.across(d), c.across(down), true
	}
	if len(list) >= often {
		c.warn(c.sh.Ducts[list[0]].Pos("diameter"), fmt.Sprintf("%d ducts are larger than those into which they flow: %s", len(list), firstOf(len(list), func(k int) string {
			mine, its, _ := sizes(list[k])
			return keys.Quote(c.s.Ducts[list[k]].ID) + " (" + mine + " into " + its + ")"
		})), "check their sizes: towards the collector ducts get larger")
		return
	}
	for _, i := range list {
		mine, its, round := sizes(i)
		said, do := "wider than %s (%s)", "check both diameters: towards the collector ducts get wider"
		if !round {
			said, do = "larger than %s (%s)", "check both sizes: towards the collector ducts get larger"
		}
		c.warn(c.sh.Ducts[i].Pos("diameter"), fmt.Sprintf("duct %s (%s) is "+said+", into which it flows", keys.Quote(c.s.Ducts[i].ID), mine, keys.Quote(c.s.Ducts[c.s.Ducts[i].Into].ID), its), do)
	}
}

// inlet warns of a collector whose inlet is far narrower than what flows into
// it. (The factor is our own choice: reducers by one size are common.)
func (c *checker) inlet(d *Duct) {
	in := c.s.Collector.Inlet
	if c.sh.Loose || !possible(d.Diameter) || !(in > 0) || d.Diameter <= 1.5*in {
		return
	}
	k := keys.SectionNamed("ducts").Key("diameter")
	c.warn(c.sh.Collector.Pos("inlet"), fmt.Sprintf("the collector's inlet (%s) is far narrower than duct %s (%s), which flows into it", c.show(k, in), keys.Quote(d.ID), c.across(d)),
		"check both diameters and their units")
}

// across is a duct's diameter or, of a rectangular one, its width by its height.
func (c *checker) across(d *Duct) string {
	if !d.Rectangular() {
		return c.show(keys.SectionNamed("ducts").Key("diameter"), d.Diameter)
	}
	return Sides(d.Width, d.Height, c.s.Units)
}

// withArea is that with the area inside.
func (c *checker) withArea(d *Duct) string {
	return c.across(d) + ", " + units.Format(math.Pi/4*d.Diameter*d.Diameter, units.Area, c.s.Units)
}

// mostStraights is how many ducts of one join are named because they enter straight.
const mostStraights = 4

// straights warns of two ducts that enter straight in one join.
func (c *checker) straights() {
	for i := IntoCollector; i < len(c.s.Ducts); i++ {
		var in []int
		for _, j := range c.into(i) {
			if c.s.Ducts[j].Straight && !c.sh.Ducts[j].Bad("enters") {
				in = append(in, j)
			}
		}
		for k := 1; k < len(in); k++ {
			so := "so does " + keys.Quote(c.s.Ducts[in[0]].ID)
			if k > mostStraights {
				so = fmt.Sprintf("so do %d more", len(in)-1)
			}
			c.warn(c.sh.Ducts[in[k]].Pos("enters"), fmt.Sprintf("duct %s enters straight, and %s in the same join", keys.Quote(c.s.Ducts[in[k]].ID), so),
				"give the angle of each branch, for example enters: 45")
			if k > mostStraights {
				break
			}
		}
	}
}

// into lists the ducts that flow into duct i, or with -1 into the collector.
func (c *checker) into(i int) (out []int) {
	if i >= 0 {
		return c.s.Ducts[i].Children
	}
	for j := range c.s.Ducts {
		if c.s.Ducts[j].Into == IntoCollector {
			out = append(out, j)
		}
	}
	return out
}

// gatesOfPorts warns of a gate that is named for a port it does not shut off.
func (c *checker) gatesOfPorts() {
	s := c.s
	ports := make(map[string]int, len(s.Ports))
	for i := range s.Ports {
		ports[s.Ports[i].ID] = i
	}
	for i := range s.Ducts {
		p, ok := ports[s.Ducts[i].Gate]
		if !ok || s.Ducts[i].Gate == "" || c.upstream(s.Ports[p].Duct, i) {
			continue
		}
		c.warn(c.sh.Ducts[i].GateID(), fmt.Sprintf("gate %s has the id of a port that it does not shut off", keys.Quote(s.Ducts[i].Gate)),
			"is it on the right duct? If so, give it another id")
	}
}

// upstream says whether air from duct i passes duct j. The walk is bounded by
// the number of ducts, should there be a loop.
func (c *checker) upstream(i, j int) bool {
	for n := 0; i >= 0 && i < len(c.s.Ducts) && n <= len(c.s.Ducts); n++ {
		if i == j {
			return true
		}
		i = c.s.Ducts[i].Into
	}
	return false
}
