package sheet

import (
	"math"
	"math/bits"
	"slices"

	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/readings"
)

// New puts the rows of a plan in the order to take them (see Route).
// expected are what they should show, one each (see plan.Ranges; plan.Values where
// the sheet doesn't tell).
func New(s *duct.System, rows []readings.Row, expected []fault.Interval) *Sheet {
	var stops, air []Stop
	sh := &Sheet{System: s}
	for i, r := range rows {
		switch {
		case r.Look != "":
			sh.Looks = append(sh.Looks, r)
		case r.Quantity.OfAir():
			air = append(air, Stop{r, expected[i]})
		default:
			stops = append(stops, Stop{r, expected[i]})
		}
	}
	sh.Stops = Route(s, stops)
	for i := range air { // read first, however the gates stand
		if len(stops) > 0 {
			air[i].Open, air[i].HoseOff = sh.Stops[0].Open, sh.Stops[0].HoseOff
		}
	}
	sh.Stops = append(air, sh.Stops...)
	return sh
}

// Route puts stops in the order to take them: stops that need the gates alike
// together, those groups so that the fewest gates are moved from one to the
// next, starting with all shut, and then so that the way between them is
// short. Inside a group the way goes from the collector outward.
//
// Up to exactSetups groups the order is the best there is; above, it is a good
// one found step by step and then improved by turning stretches round.
func Route(s *duct.System, stops []Stop) []Stop {
	r := newRouter(s, stops)
	var out []Stop
	for _, g := range r.order() {
		out = append(out, r.groups[g].stops...)
	}
	return out
}

const (
	exactSetups  = 12
	mostImproved = 400 // groups up to which turning stretches round is worth the time
	hoseWork     = 3   // unhooking a machine counts as moving so many gates
	perGate      = 1e6 // weight of a gate moved against a step of the way
)

type setup struct {
	stops []Stop
	gates []uint64 // open ones
	hoses []uint64
	place float64 // where it is on the way, by its first stop that is no part of the collector
}

type router struct {
	walk   map[string]int
	groups []setup
}

func newRouter(s *duct.System, stops []Stop) *router {
	r := &router{walk: walkOrder(s)}
	at := map[string]int{}
	gates, ports := indexOf(s.Gates()), map[string]int{}
	for i, p := range s.Ports {
		ports[p.ID] = i
	}
	for _, x := range stops {
		k := setupKey(&x)
		g, ok := at[k]
		if !ok {
			g = len(r.groups)
			at[k] = g
			r.groups = append(r.groups, setup{gates: openSet(x.Open, gates), hoses: setOf(x.HoseOff, ports)})
		}
		r.groups[g].stops = append(r.groups[g].stops, x)
	}
	for i := range r.groups {
		r.sort(&r.groups[i])
	}
	return r
}

func indexOf(ids []string) map[string]int {
	out := make(map[string]int, len(ids))
	for i, id := range ids {
		out[id] = i
	}
	return out
}

func openSet(o readings.Open, gates map[string]int) []uint64 {
	if !o.All {
		return setOf(o.Gates, gates)
	}
	out := make([]uint64, len(gates)/64+1)
	for i := range len(gates) {
		out[i/64] |= 1 << (i % 64)
	}
	return out
}

func setOf(ids []string, index map[string]int) []uint64 {
	out := make([]uint64, len(index)/64+1)
	for _, id := range ids {
		if i, ok := index[id]; ok {
			out[i/64] |= 1 << (i % 64)
		}
	}
	return out
}

func (r *router) sort(g *setup) {
	slices.SortStableFunc(g.stops, func(a, b Stop) int { return r.walk[a.Point] - r.walk[b.Point] })
	for _, x := range g.stops {
		if x.Open.All { // last, if it makes no difference
			g.place = float64(len(r.walk))
			return
		}
		if w := r.walk[x.Point]; w >= len(reservedWay) {
			g.place = float64(w)
			return
		}
	}
}

// reservedWay is the order of the points at the collector, the room's air before them.
var reservedWay = [...]string{readings.Room, readings.AfterFilter, readings.Filter, readings.Bin, readings.FanOutlet, readings.FanPoint,
	readings.FanInlet, readings.CycloneOutlet, readings.CycloneInlet, readings.CollectorInlet}

// walkOrder numbers all points along the ducts, each branch to its end before
// the next one.
func walkOrder(s *duct.System) map[string]int {
	out := map[string]int{}
	for i, id := range reservedWay {
		out[id] = i
	}
	var stack []int
	push := func(list []int) {
		for i := len(list) - 1; i >= 0; i-- {
			stack = append(stack, list[i])
		}
	}
	var roots []int
	for i := range s.Ducts {
		if s.Ducts[i].Into < 0 {
			roots = append(roots, i)
		}
	}
	for push(roots); len(stack) > 0; {
		d := &s.Ducts[stack[len(stack)-1]]
		stack = stack[:len(stack)-1]
		for i := len(d.Taps) - 1; i >= 0; i-- { // the one nearest the collector first
			out[d.Taps[i].ID] = len(out)
		}
		if d.Port >= 0 {
			out[s.Ports[d.Port].ID] = len(out)
		}
		push(d.Children)
	}
	return out
}

// cost of going from one setup to another; from -1: all gates shut.
func (r *router) cost(from, to int) float64 {
	b := &r.groups[to]
	if from < 0 {
		return perGate*(count(b.gates)+hoseWork*count(b.hoses)) + b.place
	}
	a := &r.groups[from]
	return perGate*(differ(a.gates, b.gates)+hoseWork*differ(a.hoses, b.hoses)) + math.Abs(a.place-b.place)
}

func count(a []uint64) float64 {
	n := 0
	for _, x := range a {
		n += bits.OnesCount64(x)
	}
	return float64(n)
}

func differ(a, b []uint64) float64 {
	n := 0
	for i := range a {
		n += bits.OnesCount64(a[i] ^ b[i])
	}
	return float64(n)
}

func (r *router) order() []int {
	n := len(r.groups)
	if n <= exactSetups {
		return r.best(n)
	}
	out := r.nearest(n)
	if n <= mostImproved {
		r.turn(out)
	}
	return out
}

// best finds the cheapest order by dynamic programming over sets of setups
// (R. Bellman; M. Held and R. M. Karp, 1962).
func (r *router) best(n int) []int {
	if n == 0 {
		return nil
	}
	full := 1<<n - 1
	cost := make([]float64, (full+1)*n)
	from := make([]int, (full+1)*n)
	for i := range cost {
		cost[i] = math.Inf(1)
	}
	for i := range n {
		cost[1<<i*n+i], from[1<<i*n+i] = r.cost(-1, i), -1
	}
	for set := 1; set <= full; set++ {
		for last := range n {
			c := cost[set*n+last]
			if math.IsInf(c, 1) {
				continue
			}
			for next := range n {
				if set>>next&1 == 1 {
					continue
				}
				k := (set|1<<next)*n + next
				if x := c + r.cost(last, next); x < cost[k] {
					cost[k], from[k] = x, last
				}
			}
		}
	}
	last := 0
	for i := range n {
		if cost[full*n+i] < cost[full*n+last] {
			last = i
		}
	}
	out := make([]int, n)
	for set, i := full, n-1; i >= 0; i-- {
		out[i] = last
		prev := from[set*n+last]
		set &^= 1 << last
		last = prev
	}
	return out
}

// nearest goes to the cheapest setup each time.
func (r *router) nearest(n int) []int {
	out, at := make([]int, 0, n), -1
	done := make([]bool, n)
	for range n {
		pick, least := -1, 0.0
		for i := range n {
			if done[i] {
				continue
			}
			if c := r.cost(at, i); pick < 0 || c < least {
				pick, least = i, c
			}
		}
		done[pick] = true
		out = append(out, pick)
		at = pick
	}
	return out
}

// turn turns stretches of the order round as long as that makes it cheaper.
func (r *router) turn(order []int) {
	before := func(i int) int {
		if i == 0 {
			return -1
		}
		return order[i-1]
	}
	for better, pass := true, 0; better && pass < 20; pass++ {
		better = false
		for i := range order {
			for j := i + 1; j < len(order); j++ {
				was, now := r.cost(before(i), order[i]), r.cost(before(i), order[j])
				if j+1 < len(order) {
					was += r.cost(order[j], order[j+1])
					now += r.cost(order[i], order[j+1])
				}
				if now < was-1e-9 {
					slices.Reverse(order[i : j+1])
					better = true
				}
			}
		}
	}
}
