package trial

import (
	"math"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/handbook"
	"lostair/diagnose/trial/internal/dice"
	"lostair/diagnose/trial/plant"
)

var kindWeights = []float64{0.2, 0.25, 0.18, 0.12, 0.12, 0.13}

// moreLoss is what an extra bend does, which is no kind of fault.
const moreLoss = "more loss"

// flaw is a fault that a plant has, before what it does is known.
type flaw struct {
	kind  string
	where string
	size  float64 // m², or a share, or a multiple
	duct  int     // it lies in; -1: elsewhere
	port  int     // whose hood is blocked; -1: none
	gate  int     // index; -1: none
	along float64 // 0 upstream end .. 1 downstream end
	at    float64 // the same, m
	make  float64 // factor on the loss of a gate: one maker's blade is another's not
}

// chooseFlaws draws the faults of a case.
func chooseFlaws(s *duct.System, opt settled, seed uint64) []flaw {
	d := dice.New(seed, dice.StreamFaults)
	kinds := opt.Kinds
	if kinds == nil && !opt.Sound {
		n := d.Weighted([]float64{0.34, 0.43, 0.16, 0.07})
		for range n {
			kinds = append(kinds, MainKinds()[d.Weighted(kindWeights)])
		}
	}
	var out []flaw
	for _, k := range kinds {
		for range 8 {
			f, ok := drawFlaw(d, s, k)
			if ok && !clash(out, f) {
				out = append(out, f)
				break
			}
		}
	}
	return out
}

// clash is true of two faults of one kind in one place, or of a gate that
// would both not open and not shut.
func clash(have []flaw, f flaw) bool {
	for _, g := range have {
		if g.where == f.where && (g.kind == f.kind || f.gate >= 0) {
			return true
		}
	}
	return false
}

// drawFlaw is false where the system has no such place.
func drawFlaw(d dice.Dice, s *duct.System, kind string) (flaw, bool) {
	f := flaw{kind: kind, duct: -1, port: -1, gate: -1, make: 1}
	switch kind {
	case Leak:
		f.leak(d, s)
	case Blockage:
		f.block(d, s)
	case GateRestricted, GateLeaking:
		return f.atGate(d, s)
	case FilterLoaded:
		f.where, f.size = "filter", d.LogBetween(1.5, 5)
		return f, s.Collector.Filter != nil
	case FanWeak:
		f.where, f.size = "fan", d.Between(0.65, 0.93)
	default:
		panic("trial: no kind " + kind)
	}
	return f, true
}

func (f *flaw) leak(d dice.Dice, s *duct.System) {
	share := min(max(0.05*d.Factor(0.8), 0.006), 0.4)
	if s.Collector.Bin && d.Chance(0.12) {
		f.where, f.size = "bin", share*plant.Bore(s.Collector.Inlet)
		return
	}
	f.inDuct(d, s)
	if d.Chance(0.35) {
		f.along = 1
	}
	f.at = f.along * s.Ducts[f.duct].Length
	f.size = share * plant.Bore(s.Ducts[f.duct].Diameter)
}

// inDuct places a fault in a duct, a long one rather than a short one.
func (f *flaw) inDuct(d dice.Dice, s *duct.System) {
	w := make([]float64, len(s.Ducts))
	for i := range w {
		w[i] = 1 + s.Ducts[i].Length
	}
	f.duct = d.Weighted(w)
	f.where = s.Ducts[f.duct].ID
	f.along = plant.Round(d.Between(0.02, 0.98), 0.01)
	f.at = f.along * s.Ducts[f.duct].Length
}

func (f *flaw) block(d dice.Dice, s *duct.System) {
	f.size = d.Between(0.25, 0.85)
	if d.Chance(0.3) {
		f.port = d.IntN(len(s.Ports))
		f.where = s.Ports[f.port].ID
		return
	}
	f.inDuct(d, s)
}

func (f *flaw) atGate(d dice.Dice, s *duct.System) (flaw, bool) {
	var at []int
	for i := range s.Ducts {
		if s.Ducts[i].Gate != "" {
			at = append(at, i)
		}
	}
	if len(at) == 0 {
		return *f, false
	}
	f.gate = d.IntN(len(at))
	t := &s.Ducts[at[f.gate]]
	f.where, f.make = t.Gate, d.Factor(0.12)
	if f.kind == GateRestricted {
		f.size = d.Between(0.15, 0.75)
	} else {
		f.size = min(max(0.05*d.Factor(0.7), 0.01), 0.5) * plant.Bore(t.Diameter)
	}
	return *f, true
}

// cutsOf are the places that the faults need.
func cutsOf(list []flaw) []cut {
	var out []cut
	for _, f := range list {
		if f.duct >= 0 && f.along < 1 {
			out = append(out, cut{f.duct, f.at})
		}
	}
	return out
}

// apply changes the coefficients of the true plant as the fault does. The
// speed of a weak fan is a share of the curve's speed, whatever the sound
// fan's was.
func (f *flaw) apply(c *airflow.Coefs, m *airflow.Model) {
	switch f.kind {
	case Leak:
		c.Leak[f.node(m)] += f.size
	case Blockage:
		c.K[f.segment(m)] += handbook.BlockageLoss(f.size)
	case moreLoss:
		c.K[f.segment(m)] += f.size
	case GateRestricted:
		c.GateOpen[f.gate] += f.make * handbook.GateLoss(f.size)
	case GateLeaking:
		c.GateArea[f.gate] += f.size
	case FilterLoaded:
		c.Filter *= f.size
	case FanWeak:
		c.Speed = f.size
	}
}

// node is the node at which the leak comes in.
func (f *flaw) node(m *airflow.Model) int {
	if f.duct < 0 {
		return airflow.BinNode
	}
	seg := m.DuctSegments(f.duct)
	if f.along >= 1 {
		return m.Position(seg[len(seg)-1]).Parent
	}
	return nearest(m, seg, f.at)
}

// segment is the one just downstream of the blockage.
func (f *flaw) segment(m *airflow.Model) int {
	if f.port >= 0 {
		return m.PortSegment(f.port)
	}
	return nearest(m, m.DuctSegments(f.duct), f.at)
}

// nearest is the segment whose upstream end is closest to a distance.
func nearest(m *airflow.Model, seg []int, at float64) int {
	best := seg[0]
	for _, x := range seg {
		if math.Abs(m.Position(x).From-at) < math.Abs(m.Position(best).From-at) {
			best = x
		}
	}
	return best
}
