package doubt

import (
	"math"
	"slices"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/search"
	"lostair/readings"
	"lostair/readings/units"
)

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
	logOf := func(n int) float64 { return float64(n) * math.Log(math.Abs(a.Factor)) }
	r := &Mistake{Said: []fault.Written{e}, Prior: a.Prior, Log: logOf(n), Sure: true,
		logOn: func(b *observe.Bound) float64 {
			_, rows := columns(b)
			return logOf(len(rows[c]))
		},
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
