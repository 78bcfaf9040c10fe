package survey

import (
	"slices"
	"strings"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/trial/internal/dice"
	"lostair/diagnose/trial/plant"
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

// Row is a line of a readings file to be.
type Row struct {
	Open      readings.Open
	HoseOff   []string
	Point     string
	Quantity  units.Quantity
	Meter     plant.Meter
	unit      string // as written; "": the column stays empty
	Position  int
	Positions int
	Note      string
	Text      string // the value as written
}

// scheme draws the rows of a survey.
type scheme struct {
	dice.Dice
	s     *duct.System
	style Style
	rows  []Row
	seen  map[string]bool // velocities

	manometer, fine, anemometer plant.Meter

	suction  bool    // statics are written as suction
	flow     bool    // velocities are written as flows
	units    bool    // units are written
	foreign  bool    // pressures in the other system's unit
	tap, vel float64 // share of drops and ports that are read
	main     float64 // of the mains on the way
	extra    float64 // of the collector's points
}

// Plan draws which readings a survey takes; want, if not 0, is how many.
func Plan(s *duct.System, style Style, seed uint64, want int) []Row {
	p := &scheme{Dice: dice.New(seed, dice.StreamPlan), s: s, style: style, seen: map[string]bool{}}
	p.manometer, p.fine, p.anemometer = plant.Meters(s)
	p.suction, p.flow, p.units, p.foreign = p.Chance(0.35), p.Chance(0.1), p.Chance(0.5), p.Chance(0.1)
	p.units = p.units || p.foreign
	switch style {
	case Sparse:
		p.tap, p.vel = 0, 1
		if p.Chance(0.5) {
			p.tap, p.vel = 1, 0
		}
		if p.Chance(0.2) {
			p.tap, p.vel = 1, 1
		}
		p.extra = dice.Pick(p.Dice, 0.0, 0, 0.5)
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
		size = int(plant.Together(n) * float64(n))
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
		g = append(g, plant.GatesOf(p.s, i)...)
	}
	slices.Sort(g)
	return readings.Open{Gates: slices.Compact(g)}
}

// served are the ports of a set, and those beside them behind the same gate;
// a port without a gate is read with its own set only.
func (p *scheme) served(open readings.Open, set []int) []int {
	out := append([]int(nil), set...)
	if len(set) > 1 {
		return out
	}
	for i := range p.s.Ports {
		if !slices.Contains(out, i) && len(plant.GatesOf(p.s, i)) > 0 && plant.Connected(p.s, i, open) {
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
		if p.Chance(p.vel) {
			p.velocity(e.open, nil, p.s.Ports[i].ID)
		}
	}
	if len(p.rows) == before { // a drop without a tap, and only taps are read
		p.velocity(e.open, nil, p.s.Ports[e.ports[0]].ID)
	}
	p.ofCollector(e.open, p.extra)
	if p.style == Rich && len(e.ports) == 1 && p.Chance(0.25) {
		p.unhooked(e)
	}
}

func (p *scheme) taps(open readings.Open, d int, share float64) {
	for _, t := range p.s.Ducts[d].Taps {
		if p.Chance(share) {
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
	if p.Chance(share * 1.6) {
		p.static(open, nil, airflow.CollectorInlet)
	}
	if p.Chance(share * 0.7) {
		p.static(open, nil, airflow.FanInlet)
	}
	if p.s.Collector.Filter != nil && p.Chance(share) {
		p.put(Row{Open: open, Point: airflow.FilterPoint, Quantity: units.PressureDrop, Meter: p.manometer})
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
	if p.Chance(0.7) {
		sweep(all, 0.7)
		for range 1 + p.IntN(4) {
			p.velocity(all, nil, p.s.Ports[p.IntN(len(p.s.Ports))].ID)
		}
		if p.style == Rich && p.Chance(0.5) {
			p.traverse(all)
		}
	}
	if p.style == Rich && p.Chance(0.6) {
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
	at := dice.Pick(p.Dice, taps...)
	if p.Chance(0.4) {
		p.put(Row{Open: open, Point: at, Quantity: units.CentreVelocity, Meter: p.anemometer})
		return
	}
	const n = 10
	for k := 1; k <= n; k++ {
		p.put(Row{Open: open, Point: at, Quantity: units.VelocityPressure, Meter: p.fine, Position: k, Positions: n})
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
		if r.Position == 0 {
			r.Note = "again"
			p.rows = append(p.rows, r)
		}
	}
}

func (p *scheme) static(open readings.Open, off []string, point string) {
	r := Row{Open: open, HoseOff: off, Point: point, Quantity: units.StaticPressure, Meter: p.manometer}
	if p.suction {
		r.Quantity = units.Suction
	}
	p.put(r)
}

func (p *scheme) velocity(open readings.Open, off []string, point string) {
	key := open.String() + "|" + point + "|" + strings.Join(off, "+")
	if p.seen[key] { // not twice the same
		return
	}
	p.seen[key] = true
	r := Row{Open: open, HoseOff: off, Point: point, Quantity: units.MeanVelocity, Meter: p.anemometer}
	if p.flow {
		r.Quantity = units.FlowRate
	}
	p.put(r)
}

// put adds a row with the unit that it is written in.
func (p *scheme) put(r Row) {
	d := r.Quantity.Dimension()
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
