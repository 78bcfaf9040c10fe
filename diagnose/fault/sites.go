package fault

import (
	"math"

	"lostair/diagnose/airflow"
)

// Variant is a fault at one definite spot. A place (a duct, say) may have
// several: a leak above its tap, below it, or at the join.
type Variant struct {
	Site   int // index into the sites
	Weight float64
	Spots  []Spot
	Kind   Kind
	Bore   float64       // of holes: the most that can be open there, m2
	When   Moment        // in which of two surveys, weighed as one, it is there; 0: in both
	own    SeverityPrior // of its severity, where it is not its kind's
	unit   float64       // of a change, which goes either way; 0: a fault
	from   float64       // of a port's change: what the port costs at the outset
}

// Spot is a coefficient that the fault changes, and the share of it.
type Spot struct {
	Slot  airflow.Slot
	Share float64
}

// Site is a kind of fault at a place, as the result names it.
type Site struct {
	Kind     Kind
	Where    string
	Prior    float64 // probability before any reading
	Variants []*Variant
	Duct     int  // where it lies: index into Ducts, or -1 in the collector
	ByPage   bool // of Altered: held against the page, not the baseline
}

// SeverityPrior is the spread of a fault's severity before any reading:
// normal in the transformed severity z.
type SeverityPrior struct{ Mean, Sd float64 }

func Logit(p float64) float64 { return math.Log(p / (1 - p)) }

func Logistic(z float64) float64 { return 1 / (1 + math.Exp(-z)) }

// Common practice, no source; broad, so that the readings decide.
var Severities = [lastSearched + 1]SeverityPrior{
	Leak:           {Logit(0.04), 0.8},    // share of the most that can be open there
	Blockage:       {Logit(0.5), 0.7},     // share closed
	GateRestricted: {Logit(0.42), 0.7},    // share of travel open
	GateLeaking:    {math.Log(0.04), 0.7}, // share of the most that can be open there
	FilterLoaded:   {math.Log(1.8), 0.6},  // multiple less one
	FanWeak:        {Logit(0.22), 0.5},    // share of speed lost
}

// Usual is the spread of a variant's severity before any reading.
func (v *Variant) Usual() SeverityPrior {
	if v.own.Sd > 0 {
		return v.own
	}
	return Severities[v.Kind]
}

// Severity turns z into the severity as the contract measures it, SI.
func (v *Variant) Severity(z float64) float64 {
	switch v.Kind {
	case Leak:
		return v.Bore * Logistic(z) // no hole is larger than its part
	case GateLeaking:
		return v.Bore * math.Exp(z)
	case Blockage, GateRestricted:
		return Logistic(z)
	case FilterLoaded:
		return 1 + math.Exp(z)
	case Altered:
		return math.Max(math.Exp(z), AlteredLeast)
	case FanWeak:
		return 1 - Logistic(z)
	}
	NoCase("Severity", v.Kind)
	return 0
}

// Amount is how much a severity does: what it adds to a coefficient, or the
// share by which it changes it.
func (v *Variant) Amount(z float64) float64 {
	x := v.Severity(z)
	switch v.Kind {
	case Leak, GateLeaking:
		return x
	case Blockage:
		return airflow.BlockageLoss(x)
	case GateRestricted:
		return airflow.GateLoss(x)
	case FilterLoaded, Altered:
		return x - 1
	case FanWeak:
		return 1 - x
	}
	NoCase("Amount", v.Kind)
	return 0
}

// Doing is the severity that does so many times what the middling one does.
func (v *Variant) Doing(times float64) float64 {
	sp := v.Usual()
	want, lo, hi := times*v.Amount(sp.Mean), sp.Mean-MostOff*sp.Sd, sp.Mean+MostOff*sp.Sd
	if v.Amount(lo) > v.Amount(hi) {
		lo, hi = hi, lo
	}
	for range 20 {
		if z := (lo + hi) / 2; v.Amount(z) < want {
			lo = z
		} else {
			hi = z
		}
	}
	return (lo + hi) / 2
}

// MostOff is how far from its mean a severity may lie to start a fit from, in
// standard deviations.
const MostOff = 2.5

// Apply changes the coefficients as the fault would.
func (v *Variant) Apply(c *airflow.Coefs, z float64) {
	if v.unit > 0 {
		for _, sp := range v.Spots {
			v.change(sp.Slot.Of(c), sp.Share, z)
		}
		return
	}
	x := v.Severity(z)
	for _, sp := range v.Spots {
		p := sp.Slot.Of(c)
		switch v.Kind {
		case Leak:
			*p += sp.Share * x
		case Blockage:
			*p += airflow.BlockageLoss(x)
		case GateRestricted:
			*p += airflow.GateLoss(x)
		case GateLeaking:
			*p = math.Max(*p, 0) + x
		case FilterLoaded:
			*p *= x
		case FanWeak:
			*p = x
		case Altered:
			*p += sp.Share * (x - 1)
		default:
			NoCase("Apply", v.Kind)
		}
	}
}

// Slope is the derivative of one coefficient by z.
type Slope struct {
	Slot airflow.Slot
	By   float64
}

// Slopes differentiates apply. c holds the coefficients with the fault applied.
func (v *Variant) Slopes(c *airflow.Coefs, z float64) []Slope {
	if v.unit > 0 {
		return v.changeSlopes(c, z)
	}
	const e = 1e-4
	out := make([]Slope, len(v.Spots))
	a, b := v.Severity(z-e), v.Severity(z+e)
	for i, sp := range v.Spots {
		var d float64
		switch v.Kind {
		case Leak, Altered:
			d = sp.Share * (b - a)
		case Blockage:
			d = airflow.BlockageLoss(b) - airflow.BlockageLoss(a)
		case GateRestricted:
			d = airflow.GateLoss(b) - airflow.GateLoss(a)
		case GateLeaking, FanWeak:
			d = b - a
		case FilterLoaded:
			d = *sp.Slot.Of(c) / v.Severity(z) * (b - a)
		default:
			NoCase("Slopes", v.Kind)
		}
		out[i] = Slope{sp.Slot, d / (2 * e)}
	}
	return out
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

// leakVariants: along each piece between taps, and at the join downstream, end.
func leakVariants(m *airflow.Model, segs []int, end int) []*Variant {
	var out []*Variant
	total := 0.0
	for _, x := range segs {
		p := m.Position(x)
		total += p.To - p.From
	}
	for _, x := range segs {
		p := m.Position(x)
		w := AlongDuct
		if total > 0 {
			w *= (p.To - p.From) / total
		} else {
			w /= float64(len(segs))
		}
		// At the piece's upstream end: a tap between reads it whole or not at all,
		// as it does a hole anywhere in the piece.
		out = append(out, &Variant{Weight: w, Spots: []Spot{{airflow.Slot{Kind: airflow.SlotLeak, Ix: int32(x)}, 1}}})
	}
	return append(out, &Variant{Weight: AtJoin, Spots: []Spot{{airflow.Slot{Kind: airflow.SlotLeak, Ix: int32(end)}, 1}}})
}

// blockageVariants: in each piece between taps.
func blockageVariants(m *airflow.Model, segs []int) []*Variant {
	var out []*Variant
	total := 0.0
	for _, x := range segs {
		p := m.Position(x)
		total += p.To - p.From
	}
	for _, x := range segs {
		p := m.Position(x)
		w := 1 / float64(len(segs))
		if total > 0 {
			w = (p.To - p.From) / total
		}
		v := one(airflow.SlotK, x)
		v.Weight = w
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
