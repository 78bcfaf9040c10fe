package indicator

import (
	"math"
	"slices"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/screen"
	"lostair/diagnose/internal/search"
	"lostair/diagnose/route"
)

// Bounds of what explains readings. Own choice.
const (
	MostFaults  = 8   // that explain the readings of one survey, and that are told of a history
	FarSeverity = 3.0 // standard deviations of its prior at which a severity is no fault's
	mostSlips   = 3   // slips of a row that are fitted, those that promise most
)

// cause is what a fault that explains a reading does to an indicator: it lies at the
// fault's own place, and moves freely from where the fault takes it.
type cause struct {
	ind int
	as  *Indicator // what stands in the indicator's place
	at  float64    // usual changes
}

// explainer asks of the readings of one survey whether a fault explains them.
type explainer struct {
	t     *Tracker
	s     *fit.Study
	sites []*fault.Site
	slips []*fit.Wrong
	found []*fault.Variant // what explained readings before
}

// explains finds the fault at a reading's own port that explains it better than a slip
// does; nil if there is none. The charts are linear, and each indicator is drawn to no
// change: a hose clogged by half lay 25 usual changes off, so that the reading that told
// of it was called wrong, and other ports were given the air that it had lost. A reading
// that is kept in any case needs only a fault that fits better than none.
func (e *explainer) explains(b *observe.Bound, odd int, rows []*fit.Wrong, kept bool) *cause {
	if e.s == nil {
		e.s = e.t.study(b)
		e.sites, e.slips = fault.Sites(e.t.M), search.WrongRows(e.s)
	}
	at := e.t.ownDucts(b, odd)
	if len(at) == 0 || len(e.found) == MostFaults {
		return nil
	}
	base := e.s.Fit(fit.Hypothesis{Faults: e.found, Rows: rows}, e.start(nil))
	if !base.Ok() {
		return nil
	}
	rival := base.Evidence
	if !kept {
		rival = e.asSlip(base, odd)
	}
	var best *fit.Fit
	var all []float64
	top := math.Inf(-1)
	how := fit.Settings{Floor: rival - fit.Hopeless}
	for _, site := range e.sites {
		if site.Prior <= 0 || site.Duct < 0 || len(at[site.Duct]) == 0 || !atOwnPort(site.Kind) || e.has(site) {
			continue
		}
		for _, v := range site.Variants {
			h := fit.Hypothesis{Faults: append(slices.Clone(e.found), v), Rows: rows}
			f := e.s.FitFrom(h, e.start(v), fit.PatienceFar, how)
			if !f.Ok() {
				continue
			}
			p := v.Usual()
			if z := f.At.Z[len(f.At.Z)-1]; math.Abs(z-p.Mean) > FarSeverity*p.Sd { // no fault's
				continue
			}
			score := f.Evidence + screen.LogOdds(site.Prior) + math.Log(v.Weight)
			if all = append(all, score); score > top {
				best, top = f, score
			}
		}
	}
	if best == nil || numeric.LogSumExp(all) < rival {
		return nil
	}
	n := len(best.Faults) - 1
	site := e.sites[best.Faults[n].Site]
	c := e.t.causeBy(best.Faults[n], best.At.Z[n], at[site.Duct])
	if c != nil {
		e.found = append(slices.Clone(e.found), best.Faults[n])
	}
	return c
}

// start is where a fit begins: the reference, with what was found before and v.
func (e *explainer) start(v *fault.Variant) fit.Point {
	p := e.s.Before()
	for _, x := range e.found {
		p.Z = append(p.Z, x.Usual().Mean)
	}
	if v != nil {
		p.Z = append(p.Z, v.Usual().Mean)
	}
	return p
}

func (e *explainer) has(site *fault.Site) bool {
	return slices.ContainsFunc(e.found, func(v *fault.Variant) bool { return e.sites[v.Site] == site })
}

// asSlip is how well a slip explains a reading, its likelihood counted in.
func (e *explainer) asSlip(base *fit.Fit, odd int) float64 {
	var mine []*fit.Wrong
	for _, w := range e.slips {
		if w.Observation == odd {
			mine = append(mine, w)
		}
	}
	try := []*fit.Wrong{search.Dropped(e.s, odd)}
	ideas := screen.Rows(e.s, base, mine, math.Inf(-1))
	for n, k := range screen.ByScore(ideas) {
		if w := ideas[k].Rows[len(ideas[k].Rows)-1]; n < mostSlips && !w.Drop {
			try = append(try, w)
		}
	}
	best := math.Inf(-1)
	for _, w := range try {
		f := e.s.Fit(fit.Hypothesis{Faults: e.found, Rows: append(slices.Clone(base.Rows), w)}, base.At.Clone())
		if f.Ok() {
			best = math.Max(best, f.Evidence+math.Log(w.Prior))
		}
	}
	return best
}

// atOwnPort is whether a kind of fault at a port's own ducts changes what is read with
// that port open, and may change it by far.
func atOwnPort(k fault.Kind) bool {
	switch k {
	case fault.Leak, fault.Blockage, fault.GateRestricted:
		return true
	case fault.GateLeaking, fault.FilterLoaded, fault.FanWeak, fault.Undersized, fault.ReadingWrong, fault.Altered:
		return false
	}
	fault.NoCase("atOwnPort", k)
	return false
}

// ownDucts are the ducts of the port that a reading is of, in it or behind the join
// with that port alone open; each with its ports, since several may share a gate.
func (t *Tracker) ownDucts(b *observe.Bound, obs int) map[int][]int {
	r := &b.Survey.Rows[b.Observation[obs].Rows[0]]
	point := -1
	if p, ok := t.M.Sys.PortNamed(r.Point); ok {
		point = t.M.Sys.Ports[p].Duct
	} else if d, _, ok := t.M.Sys.TapAt(r.Point); ok {
		point = d
	}
	out := map[int][]int{}
	for p := range t.M.Sys.Ports {
		gates, own := t.M.Sys.GatesOf(p), t.own(p)
		alone := len(r.Open.Gates) > 0 && slices.Equal(r.Open.Gates, slices.Sorted(slices.Values(gates)))
		if alone || slices.Contains(own, point) {
			for _, d := range own {
				out[d] = append(out[d], p)
			}
		}
	}
	return out
}

// own is the ducts on a port's way up to those that serve ports behind other gates.
func (t *Tracker) own(port int) []int {
	gates := t.M.Sys.GatesOf(port)
	way := route.Of(t.M, port)
	for p := range t.M.Sys.Ports {
		if p == port || len(gates) > 0 && slices.Equal(t.M.Sys.GatesOf(p), gates) {
			continue
		}
		other := route.Of(t.M, p)
		if k := slices.IndexFunc(way, func(d int) bool { return slices.Contains(other, d) }); k >= 0 {
			way = way[:k]
		}
	}
	return way
}

// causeBy finds the indicator that follows a fault at a duct of some ports.
func (t *Tracker) causeBy(v *fault.Variant, z float64, ports []int) *cause {
	best, most := -1, 0.0
	for i, x := range t.List {
		weight := 0.0
		switch {
		case v.Kind == fault.Leak && x.Kind == fault.Leak:
			for _, sp := range x.spots {
				if sp.Slot == v.Spots[0].Slot {
					weight = sp.Share
				}
			}
		case v.Kind != fault.Leak && x.Kind == fault.Blockage:
			for _, p := range ports {
				if t.M.Sys.Ports[p].ID == x.Where { // of several the widest
					weight = t.M.Position(t.M.PortSegment(p)).Bore
				}
			}
		}
		if weight > most {
			best, most = i, weight
		}
	}
	if best < 0 {
		return nil
	}
	as := *t.List[best]
	as.spots = slices.Clone(v.Spots)
	if v.Kind != fault.Leak { // its loss counts in velocity pressures of the port's duct
		ix, bore := int(v.Spots[0].Slot.Ix), 0.0
		if v.Kind == fault.GateRestricted {
			_, bore = t.M.GateDuct(ix)
		} else {
			bore = t.M.Position(ix).Bore
		}
		as.spots[0].Share = bore * bore / (most * most)
		c := t.coefs()
		as.from = *v.Spots[0].Slot.Of(&c)
	}
	return &cause{best, &as, v.Amount(z) / (as.spots[0].Share * as.Unit)}
}
