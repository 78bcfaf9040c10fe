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
		Says:    &fault.Size{Quantity: fault.Across, Dimension: units.Diameter, Value: d.Diameter, Low: d.Diameter, High: d.Diameter},
		Behaves: &fault.Size{Quantity: fault.Across, Dimension: units.Diameter, Value: size, Low: size, High: size}}
	return x.ofPage(e, prior, func(sys *duct.System) { sys.Ducts[i].MakeRound(size) })
}

// What is expected of a new install. Common practice, no source.
const (
	NewSizePrior = 0.22 // that one duct is of another size than its page says
	SizeStep     = 0.18 // by how much sizes next to one another differ, logarithm
)

// builtSizes are the sizes that a duct of a new install may have been built of:
// the nearest are likeliest, since the wrong one was on the shelf.
func (x *Setup) builtSizes(i int, prior float64) []*Mistake {
	d := x.M.Sys.Ducts[i].Diameter
	list := sizesNear(d, x.M.Sys.Units)
	weight, sum := make([]float64, len(list)), 0.0
	for k, size := range list {
		weight[k] = math.Exp(-math.Abs(math.Log(size/d)) / SizeStep)
		sum += weight[k]
	}
	var out []*Mistake
	for k, size := range list {
		out = append(out, x.sizeMistake(i, size, prior*weight[k]/sum))
	}
	return out
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
