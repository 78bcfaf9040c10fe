package diagnose

import (
	"context"
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/stat/distuv"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/readings"
	"lostair/readings/problem"
)

// Repair compares the surveys before and after a repair.
type Repair struct {
	System        *duct.System
	Before, After *readings.Survey
	Sealed        string       // duct or bin at which something was sealed; "": not said
	Improved      float64      // probability that something became better: a leak closed, a way cleared, a filter cleaned, a fan faster
	Worse         float64      // probability that something became worse
	Sealing       float64      // probability that a leak closed at Sealed, its zone included
	Zone          []string     // ducts that these readings can't tell from Sealed
	Changes       []RepairPart // what may have changed, likeliest first, of at least 1 %
	Ports         []RepairPort // flow of each port with its own gates open
	Wrong         []WrongRow   // rows of After that were set aside
	Same          int          // readings that both surveys have
}

// RepairPart is one thing that may have changed.
type RepairPart struct {
	Gauge       Gauge
	Where       string
	Better      bool
	Probability float64
	Change      Interval // of a leak m², of a ratio a factor, else velocity pressures
}

// RepairPort is a port's flow before and after.
type RepairPort struct {
	Port          string
	Before, After float64  // m³/s
	Ratio         Interval // After over Before
	Need          float64
	More          float64 // probability that it gets more by at least 1 %
}

// Prior probabilities of what a repair did. Common practice, no source.
const (
	repairWorked = 0.5  // that the repair changed what it was meant to
	repairAside  = 0.05 // that something else changed between the surveys
	moreFlow     = 0.01 // a share of flow that counts as more
)

// CompareRepair says what changed between two surveys. Sealed names the duct,
// or the bin, at which something was sealed; it may be "".
func CompareRepair(ctx context.Context, sys *duct.System, before, after *readings.Survey, sealed string) (*Repair, error) {
	m, err := airflow.New(sys, airflow.Options{})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", sys.File, err)
	}
	a, bad := bind(m, before)
	b, more := bind(m, after)
	if err := append(bad, more...).Err(); err != nil {
		return nil, err
	}
	if _, ok := sys.DuctNamed(sealed); sealed != "" && !ok && !(sealed == readings.Bin && sys.Collector.Bin) {
		return nil, problem.List{unknown(sys.File, 0, 0, "duct", sealed, ductIDs(sys))}
	}
	t, err := newTracker(ctx, m, []*bound{a}, []*bound{a, b})
	if err != nil {
		return nil, err
	}
	gs, err := t.glances(ctx, []*bound{a, b})
	if err != nil {
		return nil, err
	}
	for _, g := range gs {
		g.steadier = steadierFilter
	}
	r := &Repair{System: sys, Before: before, After: after, Sealed: sealed, Wrong: gs[1].wrongRows(), Same: sameReadings(before, after)}
	t.weighRepair(r, gs)
	for p, port := range sys.Ports {
		ch := centred([]change{gs[0].ports[p], gs[1].ports[p]}, 1)[1]
		flow := t.portFlow[p] * math.Exp(gs[0].ports[p].value)
		r.Ports = append(r.Ports, RepairPort{Port: port.ID, Need: port.Need, Before: flow, After: flow * math.Exp(ch.value),
			Ratio: Interval{math.Exp(ch.value), math.Exp(ch.value - 1.645*ch.sd), math.Exp(ch.value + 1.645*ch.sd)},
			More:  1 - distuv.UnitNormal.CDF((math.Log(1+moreFlow)-ch.value)/ch.sd)})
	}
	return r, nil
}

// weighRepair gives each single change, and none, its posterior probability.
func (t *tracker) weighRepair(r *Repair, gs []*glance) {
	type way struct {
		ind    int
		up     bool
		weight float64
		change change
	}
	var ways []way
	total := 1 - repairWorked - repairAside
	none := total
	prior := t.repairPriors(r.Sealed)
	for i := range t.list {
		ch := centred([]change{gs[0].estimate(i, nil), gs[1].estimate(i, nil)}, 1)[1]
		if ch.none {
			continue
		}
		for _, up := range []bool{false, true} {
			w := way{i, up, prior[i] * oneSided(ch, repairSize(t.list[i]), up), ch}
			if up == t.list[i].betterUp() {
				w.weight *= repairWorked
			} else {
				w.weight *= repairAside
			}
			ways, total = append(ways, w), total+w.weight
		}
	}
	sort.SliceStable(ways, func(a, b int) bool { return ways[a].weight > ways[b].weight })
	none /= total
	for _, w := range ways {
		p := w.weight / total
		x := t.list[w.ind]
		better := w.up == x.betterUp()
		if better {
			r.Improved += p
		} else {
			r.Worse += p
		}
		if better && x.kind == Leak && t.holds(x, r.Sealed) {
			r.Sealing += p
			r.Zone = namesOf(t.m.Sys, x.ducts)
		}
		if at := r.part(gaugeOf(x), x.where, better); at >= 0 {
			r.Changes[at].Probability = clampP(r.Changes[at].Probability + p)
		} else if p >= 0.005 {
			g := gaugeOf(x)
			r.Changes = append(r.Changes, RepairPart{Gauge: g, Where: x.where, Better: better, Probability: clampP(p),
				Change: Interval{g.value(w.change.value), g.value(w.change.value - 1.645*w.change.sd), g.value(w.change.value + 1.645*w.change.sd)}})
		}
	}
	sort.SliceStable(r.Changes, func(a, b int) bool { return r.Changes[a].Probability > r.Changes[b].Probability })
	r.Improved, r.Worse, r.Sealing = clampP(r.Improved), clampP(r.Worse), clampP(r.Sealing)
}

// part finds a change that another place of the same zone has made already.
func (r *Repair) part(g Gauge, where string, better bool) int {
	for i, c := range r.Changes {
		if c.Gauge == g && c.Where == where && c.Better == better {
			return i
		}
	}
	return -1
}

// repairSize is how large a change a repair may make, as a standard deviation.
func repairSize(x *indicator) float64 { return 2 * x.unit }

// oneSided is the Bayes factor of a change of one sign, half normal with sd
// size, against none.
func oneSided(c change, size float64, up bool) float64 {
	v, e := size*size, c.sd*c.sd
	mean := c.value * v / (v + e)
	sd := math.Sqrt(v * e / (v + e))
	tail := distuv.UnitNormal.CDF(mean / sd)
	if !up {
		tail = distuv.UnitNormal.CDF(-mean / sd)
	}
	return 2 * tail * math.Sqrt(e/(v+e)) * math.Exp(math.Min(c.value*c.value/2*(1/e-1/(v+e)), 600))
}

// Common practice, no source: between two surveys a few days apart a filter
// changes less than from one shop to the next, and it is cleaned more often than
// any one joint is sealed.
const (
	steadierFilter = 0.5
	filterWeight   = 3.0
)

// repairPriors divides a change among zones, ports, filter and fan: half of it
// at what was sealed, if that is known.
func (t *tracker) repairPriors(sealed string) []float64 {
	out := make([]float64, len(t.list))
	places := map[int]float64{}
	for _, x := range t.list {
		if x.zone >= 0 {
			places[x.zone]++
		}
	}
	var at, rest float64
	for i, x := range t.list {
		out[i] = 1
		switch {
		case x.zone >= 0:
			out[i] = 1 / places[x.zone]
		case x.kind == FilterLoaded:
			out[i] = filterWeight
		}
		if x.kind == Leak && t.holds(x, sealed) {
			at += out[i]
		} else {
			rest += out[i]
		}
	}
	for i, x := range t.list {
		switch {
		case at == 0:
			out[i] /= rest
		case x.kind == Leak && t.holds(x, sealed):
			out[i] *= 0.5 / at
		default:
			out[i] *= 0.5 / rest
		}
	}
	return out
}

// holds says whether a zone holds the duct, or is the bin.
func (t *tracker) holds(x *indicator, id string) bool {
	if id == "" {
		return false
	}
	if d, ok := t.m.Sys.DuctNamed(id); ok {
		return contains(x.ducts, d)
	}
	return x.where == id
}

// betterUp says whether more of it is better.
func (x *indicator) betterUp() bool { return x.kind == FanWeak }

func gaugeOf(x *indicator) Gauge {
	switch x.kind {
	case Leak:
		return LeakArea
	case Blockage:
		return InTheWay
	case FilterLoaded:
		return FilterDrop
	}
	return FanSpeed
}

func namesOf(s *duct.System, ducts []int) []string {
	var out []string
	for _, d := range ducts {
		out = append(out, s.Ducts[d].ID)
	}
	return out
}

func ductIDs(s *duct.System) []string {
	var out []string
	for _, d := range s.Ducts {
		out = append(out, d.ID)
	}
	return out
}

// sameReadings counts the readings that both surveys have.
func sameReadings(a, b *readings.Survey) int {
	type key struct{ open, point, quantity string }
	have := map[key]bool{}
	for _, r := range a.Readings {
		have[key{r.Open.String(), r.Point, r.Quantity.String()}] = true
	}
	n := 0
	for _, r := range b.Readings {
		if have[key{r.Open.String(), r.Point, r.Quantity.String()}] {
			n++
		}
	}
	return n
}
