package fault

import "lostair/diagnose/airflow"

// Site is a kind of fault at a place, as the result names it.
type Site struct {
	Kind     Kind
	Where    string
	Prior    float64 // probability before any reading
	Variants []*Variant
	Duct     int  // where it lies: index into Ducts, or -1 in the collector
	ByPage   bool // of Altered: held against the page, not the baseline
}

// Expected number of faults in a system that someone measures, and how they
// divide by kind. Common practice, no source.
const ExpectedFaults = 1.0

var KindShare = [lastSearched + 1]float64{
	Leak: 0.24, Blockage: 0.28, GateRestricted: 0.18, GateLeaking: 0.11, FilterLoaded: 0.08, FanWeak: 0.11,
}

// Weights of places among those of their kind. Common practice, no source: a lid
// is taken off and put back every week; hoses are trodden on, torn and clogged, a
// main seldom is; what leaks of a duct is as often its joint as its wall.
const (
	BinWeight    = 2   // of the bin, against a duct
	HoseWeight   = 1.3 // against a plain duct
	MainWeight   = 0.7 // with joins, against a plain duct
	AlongDuct    = 0.6 // of a duct's leaks
	AtJoin       = 0.4
	LikeliestOne = 0.5 // the most that one place can have
)

// FilterPlace is where the filter's faults and changes stand.
const FilterPlace = "filter"

// Sites lists every fault that may be present.
func Sites(m *airflow.Model) []*Site {
	var out []*Site
	add := func(k Kind, where string, duct int, weight, bore float64, vs ...*Variant) {
		s := &Site{Kind: k, Where: where, Prior: weight, Duct: duct, Variants: vs}
		for _, v := range vs {
			v.Kind, v.Bore, v.Site = k, bore, len(out)
		}
		out = append(out, s)
	}
	for i := range m.Sys.Ducts {
		d := &m.Sys.Ducts[i]
		segs := m.DuctSegments(i)
		bore := mostOpen(m.Position(segs[0]).Bore)
		w := ductWeight(m, i)
		add(Leak, d.ID, i, w, bore, leakVariants(m, segs, m.JoinNode(i))...)
		add(Blockage, d.ID, i, w, bore, blockageVariants(m, segs)...)
	}
	for i := range m.Sys.Ports {
		p := &m.Sys.Ports[i]
		x := m.PortSegment(i)
		add(Blockage, p.ID, p.Duct, 1, m.Position(x).Bore, one(airflow.SlotK, x))
	}
	for g := range m.Gates() {
		d, bore := m.GateDuct(g)
		bore = mostOpen(bore)
		add(GateRestricted, m.GateID(g), d, 1, bore, one(airflow.SlotGateOpen, g))
		add(GateLeaking, m.GateID(g), d, 1, bore, one(airflow.SlotGateArea, g))
	}
	if m.Sys.Collector.Bin {
		add(Leak, "bin", -1, BinWeight, mostOpenBin(m.Position(airflow.BinNode).Bore), one(airflow.SlotLeak, airflow.BinNode))
	}
	if m.Sys.Collector.Filter != nil {
		add(FilterLoaded, FilterPlace, -1, 1, 0, one(airflow.SlotFilter, 0))
	}
	add(FanWeak, "fan", -1, 1, 0, one(airflow.SlotSpeed, 0))
	normalise(out)
	return out
}

func one(k airflow.SlotKind, ix int) *Variant {
	return &Variant{Weight: 1, Spots: []Spot{{airflow.Slot{Kind: k, Ix: int32(ix)}, 1}}}
}

func ductWeight(m *airflow.Model, i int) float64 {
	d := &m.Sys.Ducts[i]
	switch {
	case d.Material == "flexible":
		return HoseWeight
	case len(d.Children) > 1:
		return MainWeight
	}
	return 1
}

// sharesOf is how much of a duct's length each piece has; alike where it has none.
func sharesOf(m *airflow.Model, segs []int) []float64 {
	out := make([]float64, len(segs))
	total := 0.0
	for i, x := range segs {
		p := m.Position(x)
		out[i] = p.To - p.From
		total += out[i]
	}
	for i := range out {
		if total > 0 {
			out[i] /= total
		} else {
			out[i] = 1 / float64(len(segs))
		}
	}
	return out
}

// leakVariants: along each piece between taps, and at the join downstream, end.
func leakVariants(m *airflow.Model, segs []int, end int) []*Variant {
	var out []*Variant
	shares := sharesOf(m, segs)
	for i, x := range segs {
		// At the piece's upstream end: a tap between reads it whole or not at all,
		// as it does a hole anywhere in the piece.
		out = append(out, &Variant{Weight: AlongDuct * shares[i], Spots: []Spot{{airflow.Slot{Kind: airflow.SlotLeak, Ix: int32(x)}, 1}}})
	}
	return append(out, &Variant{Weight: AtJoin, Spots: []Spot{{airflow.Slot{Kind: airflow.SlotLeak, Ix: int32(end)}, 1}}})
}

// blockageVariants: in each piece between taps.
func blockageVariants(m *airflow.Model, segs []int) []*Variant {
	var out []*Variant
	shares := sharesOf(m, segs)
	for i, x := range segs {
		v := one(airflow.SlotK, x)
		v.Weight = shares[i]
		out = append(out, v)
	}
	return out
}

// normalise turns weights into probabilities: the kinds' shares of the
// expected number of faults, divided among the places of the kind.
func normalise(ss []*Site) {
	var sum [lastSearched + 1]float64
	for _, s := range ss {
		sum[s.Kind] += s.Prior
	}
	for _, s := range ss {
		s.Prior = min(ExpectedFaults*KindShare[s.Kind]*s.Prior/sum[s.Kind], LikeliestOne)
	}
}
