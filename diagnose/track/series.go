package track

import (
	"math"
	"sort"

	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/indicator"
	"lostair/diagnose/internal/numeric"
)

// tracking turns glances into series and signals.
type tracking struct {
	t    *indicator.Tracker
	out  *History
	gs   []*indicator.Fit
	ref  int
	days []float64
	of   []int // indicator → series
}

func (k *tracking) run() {
	for _, s := range k.out.Surveys {
		k.days = append(k.days, s.Date.Sub(k.out.Surveys[0].Date).Hours()/24)
	}
	ports := len(k.t.M.Sys.Ports)
	ew, cu := limitsFor(distinct(k.t.List)+ports, int(math.Ceil(k.out.PerYear)))
	fs, active := find(k.t.List, k.gs, k.ref, ew, cu)
	k.of = make([]int, len(k.t.List))
	for p := range ports {
		list := make([]indicator.Change, len(k.gs))
		for i, g := range k.gs {
			list[i] = g.Ports[p]
		}
		list = centred(list, k.ref)
		c := chart(list, k.ref, ew, cu)
		port := &k.t.M.Sys.Ports[p]
		k.add(Series{Gauge: FlowShare, Where: port.ID, Signal: -1, Sound: k.t.PortFlow[p], Need: port.Need}, list, c)
		if c.first >= 0 {
			k.signal(len(k.out.Series)-1, list, c, nil, -1)
		}
	}
	all := make([][]indicator.Change, len(k.gs))
	numeric.ForEach(len(k.gs), func(i int) { all[i] = k.gs[i].SharedOut(active) })
	for _, want := range [...]fault.Kind{fault.FilterLoaded, fault.FanWeak, fault.Leak, fault.Blockage} {
		for i, x := range k.t.List {
			if x.Kind == want {
				k.follow(i, x, active, all, ew, cu)
			}
		}
	}
	for _, f := range fs {
		list := centred(changes(k.gs, f.ind, active), k.ref)
		var alike []int
		for _, a := range f.alike {
			alike = append(alike, k.of[a])
		}
		k.signal(k.of[f.ind], list, f.chart, alike, f.ind)
	}
	k.sortSignals()
}

// distinct is how many indicators there are, the places of a zone counted as one.
func distinct(list []*indicator.Indicator) int {
	n := 0
	for i, x := range list {
		if i == 0 || x.Zone < 0 || x.Zone != list[i-1].Zone {
			n++
		}
	}
	return n
}

// follow makes an indicator's series. Of the places of a zone the one that has
// moved stands for it, else what they have together.
func (k *tracking) follow(i int, x *indicator.Indicator, active []int, all [][]indicator.Change, ew, cu float64) {
	if x.Kind == fault.Leak && i > 0 && k.t.List[i-1].Kind == fault.Leak && k.t.List[i-1].Zone == x.Zone {
		k.of[i] = k.of[i-1]
		return
	}
	k.of[i] = len(k.out.Series)
	at := i
	for _, a := range active {
		if a == i || x.Kind == fault.Leak && k.t.List[a].Kind == fault.Leak && k.t.List[a].Zone == x.Zone {
			at = a
		}
	}
	if numeric.Contains(active, at) || x.Kind == fault.FilterLoaded || x.Kind == fault.FanWeak {
		list := centred(changes(k.gs, at, active), k.ref)
		k.add(k.named(x), list, chart(list, k.ref, ew, cu))
		return
	}
	list, open := make([]indicator.Change, len(k.gs)), make([]float64, len(k.gs))
	for s := range k.gs {
		sum := indicator.Change{}
		for j := i; j < len(k.t.List) && (j == i || x.Kind == fault.Leak && k.t.List[j].Zone == x.Zone); j++ {
			sum.Value += all[s][j].Value
			sum.Fresh += all[s][j].Fresh
			open[s] = math.Hypot(open[s], all[s][j].Sd)
		}
		list[s] = sum
	}
	list = centred(list, k.ref)
	for s := range list {
		list[s].Fresh = math.Hypot(list[s].Fresh, open[s]) // what the survey leaves open counts as well
	}
	c := charted{scale: 1}
	k.add(k.named(x), list, c)
}

// sortSignals: causes before the flows that they change, then by when they were seen.
func (k *tracking) sortSignals() {
	s := k.out.Signals
	flow := func(i int) bool { return k.out.Series[s[i].Series].Gauge == FlowShare }
	sort.SliceStable(s, func(a, b int) bool {
		if flow(a) != flow(b) {
			return flow(b)
		}
		if s[a].Survey != s[b].Survey {
			return s[a].Survey < s[b].Survey
		}
		return s[a].Series < s[b].Series
	})
	for i := range s {
		k.out.Series[s[i].Series].Signal = i
	}
}

func (k *tracking) named(x *indicator.Indicator) Series {
	return Series{Gauge: gaugeOf(x), Where: x.Where, Ducts: namesOf(k.t.M.Sys, x.Ducts), Signal: -1}
}

func gaugeOf(x *indicator.Indicator) Gauge {
	switch x.Kind {
	case fault.Leak:
		return LeakArea
	case fault.Blockage:
		return InTheWay
	case fault.FilterLoaded:
		return FilterDrop
	case fault.FanWeak:
		return FanSpeed
	}
	fault.NoCase("gaugeOf", x.Kind)
	return FanSpeed
}

func namesOf(s *duct.System, ducts []int) []string {
	var out []string
	for _, d := range ducts {
		out = append(out, s.Ducts[d].ID)
	}
	return out
}

// add appends a series with its points.
func (k *tracking) add(s Series, list []indicator.Change, c charted) {
	typical := 0.0
	var fresh []float64
	for _, x := range list {
		if !x.None {
			fresh = append(fresh, x.Fresh)
		}
	}
	typical = median(fresh) * c.scale
	for i, x := range list {
		p := Point{Known: !x.None}
		if p.Known {
			sd := 1.645 * math.Hypot(c.scale*x.Fresh, x.Lasting)
			if !gauges[s.Gauge].one {
				sd = math.Hypot(sd, PlaceSpread*x.Value)
			}
			p.Value = fault.Interval{Value: s.Gauge.value(x.Value), Low: s.Gauge.value(x.Value - sd), High: s.Gauge.value(x.Value + sd)}
		}
		if e := i - k.ref; e >= 0 && e < len(c.ewma.Values) {
			p.Charted = true
			p.Average = s.Gauge.value(c.ewma.Values[e] * typical)
			p.Lower, p.Upper = s.Gauge.value(c.ewma.Lower*typical), s.Gauge.value(c.ewma.Upper*typical)
		}
		s.Points = append(s.Points, p)
	}
	k.out.Series = append(k.out.Series, s)
}

// signal appends a signal of a series.
func (k *tracking) signal(series int, list []indicator.Change, c charted, alike []int, ind int) {
	g := k.out.Series[series].Gauge
	x := Signal{Series: series, Survey: c.first, Chart: "CUSUM", Up: c.up, Alike: alike}
	if c.byEWMA {
		x.Chart = "EWMA"
	}
	far := FarStep
	if g == FilterDrop {
		far = FarFilterStep
	}
	steps := jumps(list, c.scale, far)
	for _, j := range steps {
		before := j - 1
		for before > 0 && list[before].None {
			before--
		}
		x.Jumps = append(x.Jumps, Jump{j, g.value(list[before].Value), g.value(list[j].Value)})
	}
	t := trendOf(list, k.days, k.ref, c.scale, steps)
	x.Jumped = t.jumped || len(steps) > 0 && steps[0] <= c.first && len(steps) == 1
	x.Began = t.began
	x.Now = fault.Interval{Value: g.value(t.level.Value), Low: g.value(t.level.Low), High: g.value(t.level.High)}
	if !gauges[g].one { // how much lies behind the readings depends on where in its zone it is
		off := PlaceSpread * math.Abs(x.Now.Value)
		x.Now.Low, x.Now.High = x.Now.Value-math.Hypot(x.Now.Value-x.Now.Low, off), x.Now.Value+math.Hypot(x.Now.High-x.Now.Value, off)
	}
	x.Rate = fault.Interval{Value: 7 * t.rate.Value, Low: 7 * t.rate.Low, High: 7 * t.rate.High}
	if gauges[g].one {
		now := func(week float64) float64 { return g.value(t.level.Value+week) / math.Max(x.Now.Value, 1e-9) }
		x.Rate = fault.Interval{Value: now(x.Rate.Value), Low: now(x.Rate.Low), High: now(x.Rate.High)}
	}
	x.Over = len(steps) > 0 && c.within(list[t.from:])
	growing := (t.rate.Low > 0 || t.rate.High < 0) && !x.Jumped
	if growing {
		var ways []trend
		for _, f := range g.laws() {
			ways = append(ways, trendOf(f.on(list), k.days, k.ref, c.scale, steps))
		}
		x.Limits = k.limits(ways, series, ind)
	}
	k.out.Signals = append(k.out.Signals, x)
}

// PlaceSpread is how far, with 90 %, the place of a leak in its zone changes the
// area that is worked out for it, as a share. Common practice, no source.
const PlaceSpread = 0.2

// Steps that count as sudden, in standard deviations. The filter's count its
// being another one each day, so fewer do. Common practice, no source.
const (
	FarStep       = 6.5
	FarFilterStep = 3.5
)

// within says whether the mean of the newest surveys lies within the limits.
func (c *charted) within(list []indicator.Change) bool {
	var sum, n float64
	for _, x := range list {
		if !x.None && x.Fresh > 0 {
			sum, n = sum+x.Value/(x.Fresh*c.scale), n+1
		}
	}
	return n > 0 && sum/n > c.ewma.Lower && sum/n < c.ewma.Upper
}

// law is a scale on which something may grow evenly.
type law func(charted float64) float64

// laws of growth of a gauge: a filter's drop may grow evenly, or by equal shares,
// or between; who knows the dust knows which.
func (g Gauge) laws() []law {
	same := func(x float64) float64 { return x }
	if g != FilterDrop {
		return []law{same}
	}
	return []law{same, func(x float64) float64 { return g.value(x) - 1 },
		func(x float64) float64 { return math.Log(math.Max(g.value(x), indicator.LeastFilter)) }}
}

// on turns a series into another scale.
func (f law) on(list []indicator.Change) []indicator.Change {
	out := append([]indicator.Change(nil), list...)
	for i, x := range list {
		if !x.None {
			out[i].Value = f(x.Value)
			out[i].Fresh = math.Abs(f(x.Value+x.Fresh)-f(x.Value-x.Fresh)) / 2
		}
	}
	return out
}

// limits says when the trend of a series will make a port fall short; ways are
// the trends by each law of growth.
func (k *tracking) limits(ways []trend, series, ind int) []Reach {
	s := &k.out.Series[series]
	last := k.days[len(k.days)-1]
	best := math.Inf(1)
	for _, t := range ways {
		best = math.Min(best, t.misfit)
	}
	var out []Reach
	for _, at := range k.limitsOf(s, ind, ways[0].rate.Value > 0) {
		var all []ahead
		var total float64
		for i, f := range s.Gauge.laws() {
			w := math.Exp((best - ways[i].misfit) / 2)
			total += w
			for _, x := range ways[i].crosses(f(at.limit), at.rel, last) {
				all = append(all, ahead{x.day, x.weight * w})
			}
		}
		for i := range all {
			all[i].weight /= total
		}
		days, sure := reached(all)
		if days.Low >= farOff {
			continue
		}
		out = append(out, Reach{Limit: s.Gauge.value(at.limit), Port: at.port, What: at.what, Days: days, Sure: sure})
	}
	sort.SliceStable(out, func(a, b int) bool { return out[a].Days.Value < out[b].Days.Value })
	return out[:min(len(out), 2)]
}

// farOff is how far ahead, in days, a limit is named.
const farOff = 2 * 365.25

type limitAt struct {
	limit float64
	rel   float64 // how far it is known, as a share
	port  string
	what  string
}

// limitsOf are the changes of an indicator at which the first port no longer
// gets its need, and the first has lost half of its flow.
func (k *tracking) limitsOf(s *Series, ind int, up bool) []limitAt {
	if s.Gauge == FlowShare {
		p, _ := k.t.M.Sys.PortNamed(s.Where)
		out := []limitAt{{math.Log(0.5), LimitSpread, s.Where, "half"}}
		if need := k.t.M.Sys.Ports[p].Need; need > 0 {
			if flow := k.t.PortFlow[p]; flow > need {
				out = append([]limitAt{{math.Log(need / flow), k.known(p, "need"), s.Where, "need"}}, out...)
			}
		}
		return out
	}
	if ind < 0 {
		return nil
	}
	var out []limitAt
	for _, what := range []string{"need", "half"} {
		if l, ok := k.crossing(ind, what, up); ok {
			out = append(out, l)
		}
	}
	return out
}

// crossing finds by bisection how far an indicator must move until the first
// port falls below its limit, all else as in the last survey.
func (k *tracking) crossing(ind int, what string, up bool) (limitAt, bool) {
	x := k.t.List[ind]
	at := append([]float64(nil), k.gs[len(k.gs)-1].At...)
	sign := 1.0
	if !up {
		sign = -1
	}
	here := at[ind]
	below := func(amount float64) int {
		at[ind] = amount
		for p, q := range k.t.FlowsAt(k.gs[len(k.gs)-1].List, at) {
			want := k.t.PortFlow[p] / 2
			if what == "need" {
				want = k.t.M.Sys.Ports[p].Need
				if want <= 0 || want >= k.t.PortFlow[p] {
					continue
				}
			}
			if q < want {
				return p
			}
		}
		return -1
	}
	if below(here) >= 0 {
		return limitAt{}, false
	}
	lo, hi := here, here+sign*largestMove/x.Unit*sizeOf(x)
	if x.Kind == fault.FilterLoaded {
		lo, hi = here, here+sign*mostFilter/x.Unit
	}
	if below(hi) < 0 {
		return limitAt{}, false
	}
	port := -1
	for range 30 {
		mid := (lo + hi) / 2
		if p := below(mid); p >= 0 {
			hi, port = mid, p
		} else {
			lo = mid
		}
	}
	if port < 0 {
		port = below(hi)
	}
	// counted from the reference, as the series is
	move := (hi - here) * x.Unit
	if x.Kind == fault.FilterLoaded {
		move = indicator.Change{Value: hi * x.Unit}.Root().Value - indicator.Change{Value: here * x.Unit}.Root().Value
	}
	return limitAt{move + k.level(ind), k.known(port, what), k.t.M.Sys.Ports[port].ID, what}, true
}

// known is how far a limit is known: the flow in the reference itself is not
// known exactly, and less of the way from it to the need.
func (k *tracking) known(port int, what string) float64 {
	if what != "need" {
		return LimitSpread
	}
	margin := math.Log(k.t.PortFlow[port] / k.t.M.Sys.Ports[port].Need)
	return math.Min(math.Hypot(LimitSpread, k.t.PortSD[port]/math.Max(margin, leastMargin)), 1)
}

// leastMargin is the least margin over its need, as a logarithm, by which a port's limit is known.
const leastMargin = 0.02

// largestMove bounds how far an indicator is moved in search of a limit, in its sizes.
const largestMove = 3.0

// mostFilter is how many times its drop a filter may have where a limit is looked for.
const mostFilter = 25

// sizeOf is a very large change of an indicator, in its own unit.
func sizeOf(x *indicator.Indicator) float64 {
	switch x.Kind {
	case fault.Leak:
		return x.Unit / indicator.LeakChange / 2 // half of the bore
	case fault.Blockage:
		return 20
	case fault.FilterLoaded, fault.FanWeak:
		return 1 // logarithm
	}
	fault.NoCase("sizeOf", x.Kind)
	return 1
}

// level is where an indicator stands in the last survey, counted from the reference.
func (k *tracking) level(ind int) float64 {
	s := k.out.Series[k.of[ind]]
	p := s.Points[len(s.Points)-1]
	return s.Gauge.charted(p.Value.Value)
}
