package doubt

import (
	"slices"

	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/search"
	"lostair/readings"
)

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
