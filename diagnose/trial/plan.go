package trial

import (
	"slices"
	"strings"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/readings"
	"lostair/readings/units"
)

// Style is how much a survey reads.
type Style string

const (
	Sparse Style = "sparse" // port readings only
	Normal Style = "normal"
	Rich   Style = "rich" // trunk taps, fan, filter, all open, all shut, repeats, traverses
)

// row is a line of a readings file to be.
type row struct {
	open      readings.Open
	hoseOff   []string
	point     string
	quantity  units.Quantity
	meter     meter
	unit      string // as written; "": the column stays empty
	position  int
	positions int
	note      string
	text      string // the value as written
}

// scheme draws the rows of a survey.
type scheme struct {
	dice
	s     *duct.System
	style Style
	rows  []row
	seen  map[string]bool // velocities

	manometer, fine, anemometer meter

	suction  bool    // statics are written as suction
	flow     bool    // velocities are written as flows
	units    bool    // units are written
	foreign  bool    // pressures in the other system's unit
	tap, vel float64 // share of drops and ports that are read
	main     float64 // of the mains on the way
	extra    float64 // of the collector's points
}

// plan draws which readings a survey takes; want, if not 0, is how many.
func plan(s *duct.System, style Style, seed uint64, want int) []row {
	p := &scheme{dice: newDice(seed, streamPlan), s: s, style: style, seen: map[string]bool{}}
	p.manometer, p.fine, p.anemometer = metersOf(s)
	p.suction, p.flow, p.units, p.foreign = p.chance(0.35), p.chance(0.1), p.chance(0.5), p.chance(0.1)
	p.units = p.units || p.foreign
	switch style {
	case Sparse:
		p.tap, p.vel = 0, 1
		if p.chance(0.5) {
			p.tap, p.vel = 1, 0
		}
		if p.chance(0.2) {
			p.tap, p.vel = 1, 1
		}
		p.extra = pick(p.dice, 0.0, 0, 0.5)
	case Normal:
		p.tap, p.vel, p.main, p.extra = 0.85, 0.7, 0.25, 0.25
	default:
		p.tap, p.vel, p.main, p.extra = 0.97, 0.9, 0.55, 0.4
	}
	for _, set := range p.sets() {
		p.walk(set)
	}
	if style != Sparse {
		p.wide()
	}
	p.again()
	if want > 0 {
		p.exactly(want)
	}
	return p.rows
}

// exactly takes further readings with other gates open, or leaves some out,
// until there are as many as wanted.
func (p *scheme) exactly(want int) {
	n := len(p.s.Ports)
	for len(p.rows) < want {
		set := p.Perm(n)[:max(1, n/2-p.IntN(n/4+1))]
		p.walk(ends{ports: set, open: p.openFor(set)})
	}
	drop := p.Perm(len(p.rows))[want:]
	slices.Sort(drop)
	slices.Reverse(drop)
	for _, i := range drop {
		p.rows = slices.Delete(p.rows, i, i+1)
	}
}

// ends is a set of ports that are read with their gates open.
type ends struct {
	ports []int
	open  readings.Open
}

// sets are the configurations: each port by itself in a shop, in a plant the
// sets that it runs in.
func (p *scheme) sets() []ends {
	n := len(p.s.Ports)
	order := p.Perm(n)
	size := 1
	if n > 40 {
		size = int(together(n) * float64(n))
	}
	var out []ends
	seen := map[string]bool{}
	for at := 0; at < n; at += size {
		set := order[at:min(at+size, n)]
		e := ends{ports: set, open: p.openFor(set)}
		if size == n {
			e.open = readings.Open{All: true}
		}
		if key := e.open.String(); !seen[key] {
			seen[key] = true
			e.ports = p.served(e.open, set)
			out = append(out, e)
		}
	}
	return out
}

// openFor lists the gates on the way of some ports.
func (p *scheme) openFor(ports []int) readings.Open {
	var g []string
	for _, i := range ports {
		g = append(g, gatesOf(p.s, i)...)
	}
	slices.Sort(g)
	return readings.Open{Gates: slices.Compact(g)}
}

// gatesOf are the gates between a port and the collector.
func gatesOf(s *duct.System, port int) []string {
	var out []string
	for d := s.Ports[port].Duct; d >= 0; d = s.Ducts[d].Into {
		if g := s.Ducts[d].Gate; g != "" {
			out = append(out, g)
		}
	}
	return out
}

// connected is whether all gates of a port are open.
func connected(s *duct.System, port int, open readings.Open) bool {
	for _, g := range gatesOf(s, port) {
		if !open.All && !slices.Contains(open.Gates, g) {
			return false
		}
	}
	return true
}

// served are the ports of a set, and those beside them behind the same gate;
// a port without a gate is read with its own set only.
func (p *scheme) served(open readings.Open, set []int) []int {
	out := append([]int(nil), set...)
	if len(set) > 1 {
		return out
	}
	for i := range p.s.Ports {
		if !slices.Contains(out, i) && len(gatesOf(p.s, i)) > 0 && connected(p.s, i, open) {
			out = append(out, i)
		}
	}
	return out
}

// walk reads along a configuration, from the ports to the collector.
func (p *scheme) walk(e ends) {
	mains := map[int]bool{}
	before := len(p.rows)
	for _, i := range e.ports {
		own := true
		for d := p.s.Ports[i].Duct; d >= 0; d = p.s.Ducts[d].Into {
			own = own && len(p.s.Ducts[d].Children) < 2
			if own {
				p.taps(e.open, d, p.tap)
			} else if !mains[d] {
				mains[d] = true
				p.taps(e.open, d, p.main)
			}
		}
		if p.chance(p.vel) {
			p.velocity(e.open, nil, p.s.Ports[i].ID)
		}
	}
	if len(p.rows) == before { // a drop without a tap, and only taps are read
		p.velocity(e.open, nil, p.s.Ports[e.ports[0]].ID)
	}
	p.ofCollector(e.open, p.extra)
	if p.style == Rich && len(e.ports) == 1 && p.chance(0.25) {
		p.unhooked(e)
	}
}

func (p *scheme) taps(open readings.Open, d int, share float64) {
	for _, t := range p.s.Ducts[d].Taps {
		if p.chance(share) {
			p.static(open, nil, t.ID)
		}
	}
}

func (p *scheme) unhooked(e ends) {
	off := []string{p.s.Ports[e.ports[0]].ID}
	for _, t := range p.s.Ducts[p.s.Ports[e.ports[0]].Duct].Taps {
		p.static(e.open, off, t.ID)
	}
	p.velocity(e.open, off, off[0])
}

func (p *scheme) ofCollector(open readings.Open, share float64) {
	if p.chance(share * 1.6) {
		p.static(open, nil, airflow.CollectorInlet)
	}
	if p.chance(share * 0.7) {
		p.static(open, nil, airflow.FanInlet)
	}
	if p.s.Collector.Filter != nil && p.chance(share) {
		p.put(row{open: open, point: airflow.FilterPoint, quantity: units.PressureDrop, meter: p.manometer})
	}
}

// wide reads mains and collector with all gates open, and in a rich survey
// with all shut.
func (p *scheme) wide() {
	all := readings.Open{All: true}
	sweep := func(open readings.Open, share float64) {
		for i := range p.s.Ducts {
			if len(p.s.Ducts[i].Children) > 1 {
				p.taps(open, i, share)
			}
		}
		p.ofCollector(open, 0.6)
	}
	if p.chance(0.7) {
		sweep(all, 0.7)
		for range 1 + p.IntN(4) {
			p.velocity(all, nil, p.s.Ports[p.IntN(len(p.s.Ports))].ID)
		}
		if p.style == Rich && p.chance(0.5) {
			p.traverse(all)
		}
	}
	if p.style == Rich && p.chance(0.6) {
		sweep(readings.Open{}, 0.5)
	}
}

// traverse reads across a main.
func (p *scheme) traverse(open readings.Open) {
	var taps []string
	for i := range p.s.Ducts {
		if len(p.s.Ducts[i].Children) > 1 {
			for _, t := range p.s.Ducts[i].Taps {
				taps = append(taps, t.ID)
			}
		}
	}
	if len(taps) == 0 {
		return
	}
	at := pick(p.dice, taps...)
	if p.chance(0.4) {
		p.put(row{open: open, point: at, quantity: units.CentreVelocity, meter: p.anemometer})
		return
	}
	const n = 10
	for k := 1; k <= n; k++ {
		p.put(row{open: open, point: at, quantity: units.VelocityPressure, meter: p.fine, position: k, positions: n})
	}
}

// again repeats some readings.
func (p *scheme) again() {
	if p.style != Rich {
		return
	}
	n := len(p.rows)
	for range min(p.IntN(6), n) {
		r := p.rows[p.IntN(n)]
		if r.position == 0 {
			r.note = "again"
			p.rows = append(p.rows, r)
		}
	}
}

func (p *scheme) static(open readings.Open, off []string, point string) {
	r := row{open: open, hoseOff: off, point: point, quantity: units.StaticPressure, meter: p.manometer}
	if p.suction {
		r.quantity = units.Suction
	}
	p.put(r)
}

func (p *scheme) velocity(open readings.Open, off []string, point string) {
	key := open.String() + "|" + point + "|" + strings.Join(off, "+")
	if p.seen[key] { // not twice the same
		return
	}
	p.seen[key] = true
	r := row{open: open, hoseOff: off, point: point, quantity: units.MeanVelocity, meter: p.anemometer}
	if p.flow {
		r.quantity = units.FlowRate
	}
	p.put(r)
}

// put adds a row with the unit that it is written in.
func (p *scheme) put(r row) {
	d := r.quantity.Dimension()
	if p.units {
		r.unit = d.Symbol(p.s.Units)
	}
	if p.foreign && d == units.Pressure {
		r.unit = d.Symbol(other(p.s.Units))
	}
	p.rows = append(p.rows, r)
}

func other(u units.System) units.System {
	if u == units.US {
		return units.Metric
	}
	return units.US
}
