package doubt

import (
	"math"
	"slices"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/search"
	"lostair/readings"
	"lostair/readings/units"
)

// How likely it is, before any reading, that something was written down wrong.
// Common practice, no source.
const (
	AlwaysPrior  = 0.02 // that one gate stood otherwise than written in every setting
	OffsetPrior  = 0.02 // that a manometer's zero was off all along
	OffsetSpread = 15.0 // by how much it then is, Pa, one sigma
	SwapPrior    = 0.02 // that two taps were taken for one another
	FanPrior     = 0.06 // that the page has another fan's curve
	FanSpread    = 0.12 // by how much its pressure is then off, as a share, one sigma
	LengthPrior  = 0.03 // that one length on the page is far off
	BranchPrior  = 0.03 // that an open branch joins which the page lacks
	SeasonPrior  = 0.2  // that a baseline was taken in another season's air, where neither survey tells the air
	SeasonSpread = 0.04 // by how much its density is then another, as a share, one sigma
)

// Mistakes lists what may have been written down wrong. Where the system by its
// page, or as it is known from the baselines, shows what was read there is nothing.
func (x *Setup) Mistakes(g *search.Search, k *search.Learned) []*Mistake {
	page := Page(g)
	if page == nil || allNought(g) {
		return nil
	}
	if soundWillDo(g) && !strained(page.Detail, len(g.S.Observation)) && !strainedAsUsual(g.S) {
		if x.Job == fault.NewInstall {
			return x.pageMistakes(g)
		}
		return x.ofBaselines(g, k)
	}
	var out []*Mistake
	out = append(out, x.gateMistakes(g)...)
	out = append(out, x.columnMistakes(g, page)...)
	out = append(out, x.instrumentMistakes(g)...)
	out = append(out, x.offsetMistakes(g)...)
	out = append(out, x.tapMistakes(g)...)
	out = append(out, x.pageMistakes(g)...)
	out = append(out, x.baselineMistakes(g)...)
	out = append(out, x.seasonMistakes()...)
	return out
}

// ofBaselines are the mistakes of a survey that goes with its baselines, where
// these don't go with the page: mistakes that both have.
func (x *Setup) ofBaselines(g *search.Search, k *search.Learned) []*Mistake {
	if !BaselineStrained(k) {
		return nil
	}
	var out []*Mistake
	for _, r := range append(x.tapMistakes(g), x.pageMistakes(g)...) {
		if r.page {
			out = append(out, r)
		}
	}
	return out
}

// BaselineStrained says whether the last baseline lies further off the page than it should.
func BaselineStrained(k *search.Learned) bool {
	if k.Last == nil || len(k.Last.S.Observation) == 0 {
		return false
	}
	s := k.Last.S.Twin()
	s.PriorScale, s.NoiseScale = 1, 1 // what it has been taken for since may hide it
	return strainedAt(s)
}

func strainedAt(s *fit.Study) bool {
	b := baseOf(s, nil, s.Before(), 0)
	return b != nil && strained(b.f.Fit, len(s.Observation))
}

// strainedAsUsual says whether a survey lies further off the page than it should
// with the usual spread and errors, where it has been given more.
func strainedAsUsual(s *fit.Study) bool {
	t := asUsual(s)
	return t != nil && strainedAt(t)
}

// strained says whether readings lie further off what was known than they should.
func strained(d *fit.Detail, m int) bool { return d.Quad > float64(m)+2*math.Sqrt(2*float64(m)) }

// openIn lists the gates that are open in a setting.
func openIn(sys *duct.System, o readings.Open) []string {
	if o.All {
		return sys.Gates()
	}
	return o.Gates
}

// toggled is a setting with one gate otherwise.
func toggled(sys *duct.System, o readings.Open, gate string) readings.Open {
	now := slices.Clone(openIn(sys, o))
	if i := slices.Index(now, gate); i >= 0 {
		return readings.Open{Gates: slices.Delete(now, i, i+1)}
	}
	now = append(now, gate)
	slices.Sort(now)
	return readings.Open{Gates: now}
}

// gateMistakes: gates stood otherwise than written, in one setting or in all.
func (x *Setup) gateMistakes(g *search.Search) []*Mistake {
	sys, gates := x.M.Sys, x.M.Sys.Gates()
	var out []*Mistake
	add := func(prior float64, said []fault.Written, to func(was readings.Open) (readings.Open, bool)) {
		out = append(out, &Mistake{Said: said, Prior: prior,
			effect: func(b *base) []float64 {
				return b.inSetting(func(c int) (readings.Open, bool) { return to(b.s.B.Configs[c].Open) })
			},
			Turn: func(in *Inputs, _ float64) {
				in.Survey = onRows(in.Survey, func(r *readings.Reading) bool { _, other := to(r.Open); return other },
					func(r *readings.Reading, rows []*readings.Row) {
						r.Open, _ = to(r.Open)
						for _, w := range rows {
							w.Open = r.Open
						}
					})
			}})
	}
	entry := func(gate string, was readings.Open, always bool) fault.Written {
		return fault.Written{Kind: fault.GateSetting, Where: gate, Open: was, Always: always, Stood: always || !was.Opens(gate)}
	}
	settings := x.settingsRead()
	most := gatesTried(len(settings), len(gates), len(sys.Ducts))
	for _, was := range settings {
		open := openIn(sys, was)
		type other struct {
			said []fault.Written
			open readings.Open
		}
		var list []other
		for _, id := range nearest(gates, open, most) {
			list = append(list, other{[]fault.Written{entry(id, was, false)}, toggled(sys, was, id)})
			if was.Opens(id) || len(open) > otherGatesMost {
				continue
			}
			for _, o := range open {
				list = append(list, other{[]fault.Written{entry(id, was, false), entry(o, was, false)}, toggled(sys, toggled(sys, was, o), id)})
			}
		}
		share := float64(min(most, len(gates))) / float64(len(gates)) // those that are not tried are no less likely
		for _, o := range list {
			add(GatesPrior/float64(len(settings))/float64(len(list))*share, o.said, func(r readings.Open) (readings.Open, bool) {
				return o.open, r.String() == was.String()
			})
		}
	}
	if len(settings) < 2 {
		return out
	}
	for _, id := range nearest(gates, x.opened(settings), most) {
		for _, stood := range []bool{true, false} {
			some := false
			for _, was := range settings {
				some = some || was.Opens(id) != stood
			}
			if !some {
				continue
			}
			e := entry(id, readings.Open{}, true)
			e.Stood = stood
			add(AlwaysPrior/float64(2*len(gates)), []fault.Written{e}, func(r readings.Open) (readings.Open, bool) {
				if r.Opens(id) == stood {
					return r, false
				}
				return toggled(sys, r, id), true
			})
		}
	}
	return out
}

// mostGatesTried bounds the work on a plant of thousands of gates: settings, times gates
// tried, times ducts. Own choice; some ten seconds of one processor.
const mostGatesTried = 10_000_000

// gatesTried is how many gates are tried in each setting.
func gatesTried(settings, gates, ducts int) int {
	return min(gates, max(mostGatesTried/max(settings*ducts, 1), fewestGatesTried))
}

const fewestGatesTried = 4

// nearest are n of the gates, those that stand next to one of some in the file first:
// gates that are taken for one another mostly do.
func nearest(gates, some []string, n int) []string {
	if n >= len(gates) {
		return gates
	}
	away := make([]int, len(gates))
	last := -len(gates)
	for i, g := range gates {
		if slices.Contains(some, g) {
			last = i
		}
		away[i] = i - last
	}
	last = 2 * len(gates)
	for i := len(gates) - 1; i >= 0; i-- {
		if away[i] == 0 {
			last = i
		}
		away[i] = min(away[i], last-i)
	}
	at := make([]int, len(gates))
	for i := range at {
		at[i] = i
	}
	slices.SortStableFunc(at, func(a, b int) int { return away[a] - away[b] })
	at = at[:n]
	slices.Sort(at)
	out := make([]string, n)
	for k, i := range at {
		out[k] = gates[i]
	}
	return out
}

// opened are the gates that are open by name in one of the settings.
func (x *Setup) opened(settings []readings.Open) (out []string) {
	for _, o := range settings {
		if !o.All {
			out = append(out, o.Gates...)
		}
	}
	return out
}

// otherGatesMost is how many gates may be open for one to have been taken for another.
const otherGatesMost = 3

// settingsRead are the settings of the gates in a survey, each once.
func (x *Setup) settingsRead() []readings.Open {
	var out []readings.Open
	seen := map[string]bool{}
	for _, o := range x.Survey.Observation {
		c := &x.Survey.Configs[o.Cfg]
		if k := c.Open.String(); !seen[k] {
			seen[k] = true
			out = append(out, c.Open)
		}
	}
	return out
}

// columnMistakes: all values of a column are in another unit, or of the other sign.
func (x *Setup) columnMistakes(g *search.Search, page *pageState) []*Mistake {
	order, rows := columns(x.Survey)
	hs := [][]float64{page.H}
	for _, f := range g.All[:min(len(g.All), basesMost)] {
		if f.Fit != nil {
			hs = append(hs, f.Fit.H)
		}
	}
	var out []*Mistake
	for _, c := range order {
		if len(rows[c]) < misreadLeast {
			continue
		}
		seen := map[float64]bool{}
		for _, h := range hs {
			middle := middleOf(g.S.Observation, h, rows[c])
			if middle == 0 || math.Abs(middle-1) < misreadNear {
				continue
			}
			for _, a := range c.slips(middle) {
				far := math.Abs(math.Log(math.Abs(middle))) > looseFrom
				if seen[a.Factor] || math.Abs(a.Factor*middle-1) >= misreadNear || a.loose && (!far || len(seen) > 0) {
					continue
				}
				seen[a.Factor] = true
				out = append(out, x.columnMistake(c, a, len(rows[c])))
			}
		}
	}
	return out
}

// looseFrom is how far off a column is, as a logarithm, of which no unit says why:
// no fault moves all of its readings so far.
const looseFrom = 1.1

func (x *Setup) columnMistake(c column, a Slip, n int) *Mistake {
	where := c.dim.String()
	if c.unit == "" {
		where = c.sign.String()
	}
	in := func(r *readings.Row) bool {
		if c.unit == "" {
			return r.Quantity == c.sign
		}
		return r.Quantity.Dimension() == c.dim && r.Unit == c.unit
	}
	k := 1 / a.Factor
	e := fault.Written{Kind: fault.Instrument, Where: where, Factor: &fault.Interval{Value: k, Low: k, High: k}, Unit: c.unit, Really: a.really, Twice: a.twice}
	if a.loose {
		e.Unit = ""
	}
	r := &Mistake{Said: []fault.Written{e}, Prior: a.Prior, Log: float64(n) * math.Log(math.Abs(a.Factor)), Sure: true,
		effect: func(*base) []float64 { return nil },
		Turn: func(inp *Inputs, _ float64) {
			rows := inp.Survey.Rows
			inp.Survey = onRows(inp.Survey, func(r *readings.Reading) bool { return in(&rows[r.Rows[0]]) },
				func(r *readings.Reading, rows []*readings.Row) {
					r.Value, r.SD = r.Value*a.Factor, r.SD*math.Abs(a.Factor)
					for _, w := range rows {
						w.Value *= a.Factor
					}
				})
		},
		Written: func(r *readings.Reading, v, _ float64) float64 {
			if in(&x.Survey.Survey.Rows[r.Rows[0]]) {
				return v / a.Factor
			}
			return v
		}}
	if a.loose {
		r.Loosen = func(s *fit.Study) {
			for i := range s.Observation {
				if o := &s.Observation[i]; in(&x.Survey.Survey.Rows[o.Rows[0]]) {
					o.Off = GaugeOff
				}
			}
		}
	}
	return r
}

// instruments are the observations of each instrument, in order.
func (x *Setup) instruments(s *fit.Study) (names []string, lists [][]int) {
	at := map[int]int{}
	for i := range s.Observation {
		ix := s.Observation[i].GainIx
		k, ok := at[ix]
		if !ok {
			k, at[ix] = len(lists), len(lists)
			names, lists = append(names, s.Observation[i].By.Id), append(lists, nil)
		}
		lists[k] = append(lists[k], i)
	}
	return names, lists
}

// instrumentMistakes: an instrument shows so many times too much in all its readings.
func (x *Setup) instrumentMistakes(g *search.Search) []*Mistake {
	names, lists := x.instruments(g.S)
	var out []*Mistake
	for k, id := range names {
		list := lists[k]
		if len(list) < 2 {
			continue
		}
		loosen := func(s *fit.Study) {
			for i := range s.Observation {
				if s.Observation[i].By.Id == id {
					s.Observation[i].Off = GaugeOff
				}
			}
		}
		out = append(out, &Mistake{Said: []fault.Written{{Kind: fault.Instrument, Where: id, Factor: &fault.Interval{Value: 1, Low: 1, High: 1}}}, Prior: GaugePrior / float64(len(names)), Spread: GaugeOff, light: true,
			effect: func(b *base) []float64 {
				e := make([]float64, len(b.s.Observation))
				for _, i := range list {
					e[i] = -b.s.Observation[i].Y
				}
				return e
			},
			Turn: func(*Inputs, float64) {}, Loosen: loosen,
			Measure: func(s *fit.Study, f *fit.Fit, e *fault.Written) {
				for i := range s.Observation {
					if s.Observation[i].By.Id != id {
						continue
					}
					row := make([]float64, s.N)
					row[s.Observation[i].GainIx] = GaugeOff
					sd := math.Sqrt(s.Variance(f, row, make([]float64, len(f.Faults))))
					e.Factor = fault.Exponential(fault.SpanOf(GaugeOff*f.At.Theta[s.Observation[i].GainIx], sd))
					return
				}
			}})
	}
	return out
}

// offsetMistakes: a manometer's zero was off in all that it showed. What goes by
// several names, as a gauge and a Pitot tube, may be one manometer.
func (x *Setup) offsetMistakes(g *search.Search) []*Mistake {
	names, lists := x.instruments(g.S)
	var ids []string
	var each [][]int
	var all []int
	for k, id := range names {
		var list []int
		for _, i := range lists[k] {
			if g.S.B.Survey.Readings[g.S.Observation[i].Reading].Quantity.Dimension() == units.Pressure {
				list = append(list, i)
			}
		}
		if len(list) > 0 {
			ids, each, all = append(ids, id), append(each, list), append(all, list...)
		}
	}
	share := OffsetPrior
	var out []*Mistake
	if len(ids) > 1 && len(all) >= misreadLeast {
		share /= 2
		out = append(out, offsetMistake(ids, all, share))
	}
	for k, id := range ids {
		if len(each[k]) >= misreadLeast {
			out = append(out, offsetMistake([]string{id}, each[k], share/float64(len(ids))))
		}
	}
	return out
}

func offsetMistake(ids []string, list []int, prior float64) *Mistake {
	r := &Mistake{Prior: prior, Spread: OffsetSpread, light: true,
		effect: func(b *base) []float64 {
			e := make([]float64, len(b.s.Observation))
			for _, i := range list {
				e[i] = -math.Copysign(1, b.s.Observation[i].Y)
			}
			return e
		},
		Turn: func(*Inputs, float64) {},
		Loosen: func(s *fit.Study) {
			for i := range s.Observation {
				o := &s.Observation[i]
				if s.B.Survey.Readings[o.Reading].Quantity.Dimension() == units.Pressure && slices.Contains(ids, o.By.Id) {
					o.Zero = math.Copysign(OffsetSpread, o.Y)
				}
			}
		},
		Measure: func(s *fit.Study, f *fit.Fit, e *fault.Written) {
			row, x := make([]float64, s.N), fit.LooseAt(s.Day)
			row[x] = OffsetSpread
			e.Offset = fault.SpanOf(OffsetSpread*f.At.Theta[x], math.Sqrt(s.Variance(f, row, make([]float64, len(f.Faults)))))
		}}
	for _, id := range ids {
		r.Said = append(r.Said, fault.Written{Kind: fault.Instrument, Where: id, Offset: &fault.Interval{}})
	}
	return r
}

// tapMistakes: two taps were taken for one another, in the survey or also in the baselines.
func (x *Setup) tapMistakes(g *search.Search) []*Mistake {
	var taps []string
	read := map[string]bool{}
	for _, o := range x.Survey.Observation {
		read[x.Survey.Survey.Readings[o.Reading].Point] = true
	}
	for _, d := range x.M.Sys.Ducts {
		for _, t := range d.Taps {
			taps = append(taps, t.ID)
		}
	}
	if len(taps) > tapsMost {
		return nil
	}
	type two struct{ a, b string }
	var pairs []two
	for i, a := range taps {
		for _, b := range taps[i+1:] {
			if read[a] || read[b] {
				pairs = append(pairs, two{a, b})
			}
		}
	}
	var out []*Mistake
	prior := SwapPrior / float64(max(len(pairs), 1))
	if len(x.Bases) > 0 {
		prior /= 2
	}
	for _, p := range pairs {
		other := func(id string) string {
			switch id {
			case p.a:
				return p.b
			case p.b:
				return p.a
			}
			return ""
		}
		said := []fault.Written{{Kind: fault.TapSwapped, Where: p.a + "+" + p.b}}
		effect := func(b *base) []float64 { return b.elsewhere(other) }
		swap := func(s *readings.Survey) *readings.Survey {
			return onRows(s, func(r *readings.Reading) bool { return other(r.Point) != "" }, func(r *readings.Reading, rows []*readings.Row) {
				r.Point = other(r.Point)
				for _, w := range rows {
					w.Point = r.Point
				}
			})
		}
		out = append(out, &Mistake{Said: said, Prior: prior, effect: effect, light: true, Turn: func(in *Inputs, _ float64) { in.Survey = swap(in.Survey) }})
		if len(x.Bases) > 0 {
			out = append(out, &Mistake{Said: said, Prior: prior, effect: effect, light: true, page: true, Turn: func(in *Inputs, _ float64) {
				in.Survey = swap(in.Survey)
				in.Bases = slices.Clone(in.Bases)
				for i := range in.Bases {
					in.Bases[i] = swap(in.Bases[i])
				}
			}})
		}
	}
	return out
}

// tapsMost is how many taps may be there for pairs of them to be looked at.
const tapsMost = 40

// elsewhere is the effect of readings having been taken at another tap.
func (b *base) elsewhere(other func(id string) string) []float64 {
	out := make([]float64, len(b.s.Observation))
	some := false
	for i := range b.s.Observation {
		o := b.s.Observation[i]
		r := &b.s.B.Survey.Readings[o.Reading]
		at := other(r.Point)
		if at == "" {
			continue
		}
		p, err := b.s.M.ProbeAt(at, r.Quantity)
		if err != nil {
			return nil
		}
		if r.Positions == 0 {
			p = p.OnAxis()
		}
		o.Probe, o.TapIx, o.AxisIx = p, -1, -1
		out[i], some = b.f.Fit.H[i]-fit.ValueOf(b.s.States[o.Cfg], b.f.At.Theta, &o, b.s.Day), true
	}
	if !some {
		return nil
	}
	return out
}

// pageMistakes: the system differs from its file in one size, one length, the fan,
// or a branch that the file lacks.
func (x *Setup) pageMistakes(g *search.Search) []*Mistake {
	sys := x.M.Sys
	var out []*Mistake
	n := float64(len(sys.Ducts))
	if len(sys.Ducts) <= ductsMost {
		known := x.measured()
		for i := range sys.Ducts {
			if x.Job == fault.NewInstall {
				if !known[i] {
					out = append(out, x.builtSizes(i, NewSizePrior/n)...)
				}
				continue // what else it loses is among the places
			}
			if !known[i] {
				out = append(out, x.sizeMistakes(i, DiameterPrior/n)...)
			}
			out = append(out, x.lengthMistakes(i, LengthPrior/n)...)
		}
		out = append(out, x.branchMistakes()...)
	}
	if x.M.Sys.Collector.FanKnown() == duct.ByCurve { // else the readings tell it anyway
		out = append(out, x.fanMistake())
	}
	return out
}

// measured are the ducts that were measured across: the page has no other size of them.
func (x *Setup) measured() map[int]bool {
	surveys := []*readings.Survey{x.Survey.Survey}
	for _, b := range x.Bases {
		surveys = append(surveys, b.Survey)
	}
	out := map[int]bool{}
	for _, b := range observe.Bores(x.M.Sys, surveys...) {
		out[b.Duct] = true
	}
	return out
}

// ductsMost is how many ducts a system may have for each of them to be looked at.
const ductsMost = 60

// ofPage is a mistake in which the file says something else of the system.
func (x *Setup) ofPage(e fault.Written, prior float64, change func(sys *duct.System)) *Mistake {
	var m *airflow.Model
	var sys *duct.System
	made := false
	build := func() *airflow.Model {
		if made {
			return m
		}
		made = true
		sys = x.M.Sys.Copy()
		change(sys)
		if sys.Finish().Err() != nil {
			return nil
		}
		m, _ = airflow.New(sys, airflow.Options{})
		return m
	}
	return &Mistake{Said: []fault.Written{e}, Prior: prior, page: true,
		effect: func(b *base) []float64 {
			if to := build(); to != nil {
				return b.in(to)
			}
			return nil
		},
		Turn: func(in *Inputs, _ float64) {
			if build() != nil {
				in.Sys = sys
			}
		}}
}

// in is the effect of the system being another: what that does to the page.
func (b *base) in(m *airflow.Model) []float64 {
	out := make([]float64, len(b.s.Observation))
	was, now := b.byPage(), m.Coefs()
	if !was.ok || len(b.f.Faults) > 0 && len(now.Flat()) != len(b.s.Coef.Flat()) {
		return nil
	}
	for k, v := range b.f.Faults {
		v.Apply(&now, b.f.At.Z[k])
	}
	to := m.NewState()
	to.Roughly = true
	for c, list := range b.s.By {
		if len(list) == 0 {
			continue
		}
		cfg := b.s.B.Configs[c]
		other, err := m.Configure(cfg.Open.All, cfg.Open.Gates, cfg.HoseOff)
		if err != nil {
			return nil
		}
		if to.StartFrom(was.states[c]); to.Solve(&now, other) != nil {
			return nil
		}
		for _, i := range list {
			r := &b.s.B.Survey.Readings[b.s.Observation[i].Reading]
			p, err := m.ProbeAt(r.Point, r.Quantity)
			if err != nil {
				return nil
			}
			if r.Positions == 0 {
				p = p.OnAxis()
			}
			out[i] = was.value[i] - to.Value(p)
		}
	}
	return out
}

func (x *Setup) sizeMistakes(i int, prior float64) []*Mistake {
	list := sizesNear(x.M.Sys.Ducts[i].Diameter, x.M.Sys.Units)
	var out []*Mistake
	for _, size := range list {
		out = append(out, x.sizeMistake(i, size, prior/float64(len(list))))
	}
	return out
}

// sizeMistake: a duct is of another diameter than its page says.
func (x *Setup) sizeMistake(i int, size, prior float64) *Mistake {
	d := &x.M.Sys.Ducts[i]
	e := fault.Written{Kind: fault.AsBuilt, Where: d.ID,
		Says:    &fault.Size{Quantity: "diameter", Dimension: units.Diameter, Value: d.Diameter, Low: d.Diameter, High: d.Diameter},
		Behaves: &fault.Size{Quantity: "diameter", Dimension: units.Diameter, Value: size, Low: size, High: size}}
	return x.ofPage(e, prior, func(sys *duct.System) { sys.Ducts[i].MakeRound(size) })
}

// LengthRatios are how many times its length by the page a duct may be.
var LengthRatios = []float64{0.08, 0.2, 0.45, 2, 4}

func (x *Setup) lengthMistakes(i int, prior float64) []*Mistake {
	d := &x.M.Sys.Ducts[i]
	if d.Length < 10*d.Diameter {
		return nil
	}
	var out []*Mistake
	for _, k := range LengthRatios {
		v := k * d.Length
		e := fault.Written{Kind: fault.AsBuilt, Where: d.ID,
			Says:    &fault.Size{Quantity: "length", Dimension: units.Length, Value: d.Length, Low: d.Length, High: d.Length},
			Behaves: &fault.Size{Quantity: "length", Dimension: units.Length, Value: v, Low: v / lengthStep, High: v * lengthStep}}
		out = append(out, x.ofPage(e, prior/float64(len(LengthRatios)), func(sys *duct.System) {
			e := &sys.Ducts[i]
			e.Length *= k
			for t := range e.Taps {
				e.Taps[t].Distance *= k
			}
		}))
	}
	return out
}

// lengthStep is how far apart lengths are tried, as a factor either way.
const lengthStep = 1.5

// fanMistake: the fan's curve is another's.
func (x *Setup) fanMistake() *Mistake {
	e := fault.Written{Kind: fault.AsBuilt, Where: "fan"}
	r := &Mistake{Said: []fault.Written{e}, Prior: FanPrior, Spread: FanSpread, page: true,
		effect: func(b *base) []float64 {
			const step = 0.05
			c := b.s.Coef.Clone()
			c.Pressure *= 1 + step
			out, st := make([]float64, len(b.s.Observation)), b.s.M.NewState()
			st.Unchecked = true
			for k, list := range b.s.By {
				if len(list) == 0 {
					continue
				}
				if st.Solve(&c, b.s.B.Configs[k].Config) != nil {
					return nil
				}
				for _, i := range list {
					out[i] = (b.f.Fit.H[i] - b.s.Value(st, b.f.At.Theta, i)) / step
				}
			}
			return out
		},
		Turn: func(in *Inputs, times float64) {
			in.Sys = in.Sys.Copy()
			c := &in.Sys.Collector
			for i := range c.Curve {
				c.Curve[i].Pressure *= 1 + times
			}
		},
	}
	r.Measure = func(_ *fit.Study, _ *fit.Fit, e *fault.Written) {
		at := fault.SpanOf(1+r.Times, r.Sd)
		e.Says, e.Behaves = &fault.Size{Quantity: "pressure", Dimension: units.Share, Value: 1, Low: 1, High: 1}, &fault.Size{Quantity: "pressure", Dimension: units.Share, Value: at.Value, Low: at.Low, High: at.High}
	}
	return r
}

// AddedID is the id of a duct that a mistake adds to the system, and of its gate;
// AddedPort is that of its port, since a duct and a port share none.
const (
	AddedID   = "(branch)"
	AddedPort = "(branch's port)"
)

// branchMistakes: an open branch joins that the page lacks, in every setting or
// with its gate in those that have all gates open.
func (x *Setup) branchMistakes() []*Mistake {
	sys := x.M.Sys
	var at []int
	for i := range sys.Ducts {
		if len(sys.Ducts[i].Children) > 0 {
			at = append(at, i)
		}
	}
	sizes := x.dropSizes()
	all := false
	for _, o := range x.settingsRead() {
		all = all || o.All
	}
	var out []*Mistake
	for _, i := range at {
		for _, size := range sizes {
			for _, gated := range []bool{false, true} {
				if gated && !all {
					continue
				}
				e := fault.Written{Kind: fault.AsBuilt, Where: sys.Ducts[i].ID, Says: &fault.Size{Quantity: "branch", Dimension: units.Diameter, Value: 0, Low: 0, High: 0},
					Behaves: &fault.Size{Quantity: "branch", Dimension: units.Diameter, Value: size, Low: size, High: size}, Stood: gated}
				out = append(out, x.ofPage(e, BranchPrior/float64(2*len(at)*len(sizes)), func(s *duct.System) {
					d := duct.Duct{ID: AddedID, Into: i, Angle: math.Pi / 4, Diameter: size, Length: 2, Material: "spiral", Port: -1}
					if gated {
						d.Gate = AddedID
					}
					s.Ducts = append(s.Ducts, d)
					s.Ports = append(s.Ports, duct.Port{ID: AddedPort, Duct: len(s.Ducts) - 1, Hood: "plain"})
				}))
			}
		}
	}
	return out
}

// dropSizes are the diameters of the ducts at the ports, each once, the middle ones.
func (x *Setup) dropSizes() []float64 {
	var out []float64
	for _, p := range x.M.Sys.Ports {
		if d := x.M.Sys.Ducts[p.Duct].Diameter; !slices.Contains(out, d) {
			out = append(out, d)
		}
	}
	slices.Sort(out)
	if len(out) > 3 {
		out = []float64{out[0], out[len(out)/2], out[len(out)-1]}
	}
	return out
}

// baselineMistakes: the baseline is of another system, or of this one before it
// was rebuilt: nothing is known but the page.
func (x *Setup) baselineMistakes(g *search.Search) []*Mistake {
	if len(x.Bases) == 0 {
		return nil
	}
	r := &Mistake{Prior: AnotherPrior, effect: func(*base) []float64 { return nil }, Turn: func(in *Inputs, _ float64) { in.Bases = nil }}
	for _, b := range x.Bases {
		r.Said = append(r.Said, fault.Written{Kind: fault.WrongBaseline, Where: b.Survey.File, Reason: "another"})
	}
	r.preset = x.withoutBaseline(g) + math.Log(AnotherPrior)
	return []*Mistake{r}
}

// seasonMistakes: the last baseline was taken in other air, so that all pressures
// stood higher or lower by one share while the flows were the same. A day's weather
// is in every survey; from winter to summer it is several times that.
func (x *Setup) seasonMistakes() []*Mistake {
	if len(x.Bases) == 0 {
		return nil
	}
	last := x.Bases[len(x.Bases)-1]
	if x.Survey.Denser != 0 && last.Denser != 0 {
		return nil // both tell
	}
	return []*Mistake{{Said: []fault.Written{{Kind: fault.WrongBaseline, Where: last.Survey.File, Reason: fault.OtherAir}}, Prior: SeasonPrior, Spread: SeasonSpread, light: true,
		effect: func(b *base) []float64 {
			e := make([]float64, len(b.s.Observation))
			for i := range e {
				o := &b.s.Observation[i]
				e[i] = -o.Y * fit.DensityPower(o)
			}
			return e
		},
		Turn: func(*Inputs, float64) {},
		Loosen: func(s *fit.Study) {
			for i := range s.Observation {
				o := &s.Observation[i]
				o.Air = SeasonSpread * fit.DensityPower(o)
			}
		}}}
}

// withoutBaseline is what the leading sets Promise if nothing is known but the page.
func (x *Setup) withoutBaseline(g *search.Search) float64 {
	s := fit.NewStudy(x.M, x.U, x.L, x.Survey, fit.Prior{Mean: make([]float64, x.L.N), Scale: 1})
	best := math.Inf(-1)
	for k, f := range g.All {
		if k == basesMost {
			break
		}
		at := s.Before()
		at.Z = f.At.Z
		if y := s.Linearised(f.Hypothesis, at); y.Ok() {
			best = max(best, y.Evidence+f.Prior)
		}
	}
	return best + withoutSlack
}

// withoutSlack is what a fit may gain beyond that, in nats.
const withoutSlack = 4.0
