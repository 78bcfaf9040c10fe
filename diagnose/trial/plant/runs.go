package plant

import (
	"fmt"
	"math"

	"lostair/diagnose/duct"
	"lostair/diagnose/trial/internal/dice"
	"lostair/readings/units"
)

// machines name the ports of a shop; a plant of more has numbers.
var machines = []string{"ripper", "crosscut", "fence-saw", "thicknesser", "spindle", "tenoner", "mortiser", "drum", "edge-belt", "long-belt",
	"disc", "overhead-router", "bench-router", "copy-lathe", "bowl-lathe", "dovetailer", "slotter", "panel-beam", "wall-saw", "sash-bench",
	"veneer-saw", "finger-cutter", "round-over", "hinge-borer", "cnc-nest", "floor-sweep", "glue-prep", "offcut-hog"}

// leaf is a port as it is planned.
type leaf struct {
	name   string
	size   int     // index into the sizes, of its drop
	flow   float64 // that it is laid out for, m³/s
	narrow bool    // its hose is too small on purpose
	free   bool    // it has no gate
}

// planner lays a plant out.
type planner struct {
	dice.Dice
	s      *duct.System
	units  units.System
	leaves []leaf
	runs   int
}

// leafs plans the ports.
func (p *planner) leafs(n int) {
	names := dice.Shuffled(p.Dice, machines)
	base := []int{0, 1, 3, 4, 6} // 80 to 160 mm
	if p.units == units.US {
		base = []int{0, 1, 2, 2, 3}
	}
	for i := range n {
		l := leaf{size: base[p.Weighted([]float64{0.15, 0.3, 0.2, 0.2, 0.15})], narrow: p.Chance(0.05)}
		l.name = fmt.Sprintf("m%03d", i+1)
		if n <= len(names) {
			l.name = names[i]
		}
		if i == 4 && n < 60 && p.Chance(0.25) || n >= 60 && p.Chance(0.03) {
			l.size, l.narrow, l.free = 0, false, true
		}
		l.flow = Bore(diameter(p.units, l.size)) * p.Between(20, 24)
		p.leaves = append(p.leaves, l)
	}
}

// design is the flow for which a run that serves some leaves is laid out.
func (p *planner) design(l []leaf) float64 {
	var sum, most, always float64
	for i := range l {
		if l[i].free {
			always += l[i].flow
			continue
		}
		sum += l[i].flow
		most = max(most, l[i].flow)
	}
	return always + max(most, Together(len(p.leaves))*sum)
}

// build lays the run that serves some leaves and flows into a duct at an angle
// (rad; 0: straight), and all that hangs on it. It returns the index.
func (p *planner) build(into int, angle float64, l []leaf, most int) int {
	if len(l) == 1 && into != duct.IntoCollector {
		return p.drop(into, angle, l[0])
	}
	size := sizeFor(p.units, p.design(l), 16.5, p.largest(l))
	if into != duct.IntoCollector {
		size = min(size, most)
	}
	p.runs++
	d := p.duct(into, angle, fmt.Sprintf("run%d", p.runs), size, p.Between(1.6, 5.5))
	if p.Chance(0.25) {
		d.Fittings = append(d.Fittings, p.elbow(1))
	}
	if p.Chance(0.05) {
		d.Fittings = append(d.Fittings, duct.Fitting{Loss: Round(p.Between(0.2, 1), 0.1), Count: 1, What: "spark trap"})
	}
	if p.Chance(0.8) {
		p.tap(d, fmt.Sprintf("P%d", p.runs), p.Between(0.3, 0.75))
	}
	i := p.add(d)
	switch {
	case len(l) == 1:
		p.drop(i, 0, l[0])
	default:
		p.branch(i, size, l)
	}
	return i
}

// branch splits the leaves at the upstream end of run i.
func (p *planner) branch(i, size int, l []leaf) {
	side := 1
	if len(l) > 6 {
		side = max(1, len(l)/(2+p.IntN(3)))
	}
	angle := dice.Pick(p.Dice, 30.0, 45, 45, 45, 60) * math.Pi / 180
	if len(l) >= 4 && side == 1 && !l[0].free && !l[1].free && p.Chance(0.12) {
		p.pair(i, angle, l[:2], size)
		p.build(i, 0, l[2:], size)
		return
	}
	p.build(i, angle, l[:side], size)
	p.build(i, 0, l[side:], size)
}

// largest is the size of the largest drop among some leaves.
func (p *planner) largest(l []leaf) int {
	most := 0
	for i := range l {
		most = max(most, l[i].size)
	}
	return most
}

// pair is a machine with two outlets behind one gate in a run of their own.
func (p *planner) pair(into int, angle float64, l []leaf, most int) {
	size := sizeFor(p.units, l[0].flow+l[1].flow, 17, max(l[0].size, l[1].size))
	size = min(size, most)
	p.runs++
	d := p.duct(into, angle, fmt.Sprintf("run%d", p.runs), size, p.Between(1.5, 3.5))
	d.Gate = l[0].name + "-pair"
	p.tap(d, fmt.Sprintf("P%d", p.runs), p.Between(0.4, 0.7))
	i := p.add(d)
	for k := range 2 {
		a := 0.0
		if k == 1 {
			a = math.Pi / 4
		}
		h := p.duct(i, a, l[k].name+"-hose", l[k].size, p.Between(0.8, 2.2))
		h.Material = "flexible"
		if k == 0 && p.Chance(0.5) {
			h.Material = "spiral"
			p.tap(h, "T-"+l[k].name, 0.5)
		}
		p.port(p.add(h), l[k])
	}
}

// drop is a branch to one port: pipe with elbows, mostly a hose, a gate.
func (p *planner) drop(into int, angle float64, l leaf) int {
	d := p.duct(into, angle, l.name+"-drop", l.size, p.Between(1.5, 4.5))
	if p.Chance(0.9) {
		d.Fittings = append(d.Fittings, p.elbow(1+p.IntN(2)))
	}
	if p.units == units.US && l.size < 3 && p.Chance(0.15) {
		d.Material = "pvc"
	}
	if p.Chance(0.92) {
		p.tap(d, "T-"+l.name, p.Between(0.45, 0.8))
	}
	gated := !l.free
	if !l.narrow && p.Chance(0.12) { // no hose
		if gated {
			d.Gate = l.name
		}
		i := p.add(d)
		p.port(i, l)
		return i
	}
	i := p.add(d)
	size, long := l.size, p.Between(0.6, 2.4)
	switch {
	case l.narrow:
		size, long = max(size-1-p.IntN(2), 0), p.Between(2.5, 5)
	case p.Chance(0.15):
		size = max(size-1, 0)
	}
	h := p.duct(i, 0, l.name+"-hose", size, long)
	h.Material = "flexible"
	switch {
	case !gated:
	case p.Chance(0.2):
		p.s.Ducts[i].Gate = l.name
	default:
		h.Gate = l.name
	}
	p.port(p.add(h), l)
	return i
}

func (p *planner) duct(into int, angle float64, id string, size int, long float64) *duct.Duct {
	d := &duct.Duct{ID: id, Into: into, Straight: angle == 0, Angle: angle, Diameter: diameter(p.units, size), Length: lengthOf(p.units, long), Material: "spiral"}
	if p.Chance(0.15) {
		d.Material = "galvanised"
	}
	return d
}

func (p *planner) add(d *duct.Duct) int {
	p.s.Ducts = append(p.s.Ducts, *d)
	return len(p.s.Ducts) - 1
}

func (p *planner) elbow(n int) duct.Fitting {
	return duct.Fitting{Elbow: true, Angle: dice.Pick(p.Dice, math.Pi/2, math.Pi/2, math.Pi/2, math.Pi/4), Radius: dice.Pick(p.Dice, 1, 1.5, 1.5, 2), Count: n}
}

func (p *planner) tap(d *duct.Duct, id string, share float64) {
	at := neat(share*d.Length, units.Length, p.units, 0.1, 0.5)
	d.Taps = append(d.Taps, duct.Tap{ID: id, Distance: min(at, d.Length)})
}

func (p *planner) port(i int, l leaf) {
	q := duct.Port{ID: l.name, Duct: i, Need: l.flow}
	if p.Chance(0.5) {
		q.Hood = dice.Pick(p.Dice, "plain", "flanged", "flanged", "tapered", "tapered", "bellmouth")
	} else {
		q.Loss = Round(p.Between(0.4, 1.8), 0.1)
	}
	p.s.Ports = append(p.s.Ports, q)
}
