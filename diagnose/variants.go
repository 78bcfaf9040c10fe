package diagnose

import (
	"math"

	"lostair/diagnose/airflow"
)

// variant is a fault at one definite spot. A place (a duct, say) may have
// several: a leak above its tap, below it, or at the join.
type variant struct {
	site   int // index into the sites
	weight float64
	spots  []spot
	kind   Kind
	bore   float64
}

// spot is a coefficient that the fault changes, and the share of it.
type spot struct {
	slot  airflow.Slot
	share float64
}

// site is a kind of fault at a place, as the result names it.
type site struct {
	kind     Kind
	where    string
	prior    float64 // probability before any reading
	variants []*variant
	duct     int // where it lies: index into Ducts, or -1 in the collector
}

// severityPrior is the spread of a fault's severity before any reading:
// normal in the transformed severity z.
type severityPrior struct{ mean, sd float64 }

func logit(p float64) float64    { return math.Log(p / (1 - p)) }
func logistic(z float64) float64 { return 1 / (1 + math.Exp(-z)) }

// Common practice, no source; broad, so that the readings decide.
var severities = [...]severityPrior{
	Leak:           {math.Log(0.04), 0.8}, // share of the bore
	Blockage:       {logit(0.5), 0.7},     // share closed
	GateRestricted: {logit(0.42), 0.7},    // share of travel open
	GateLeaking:    {math.Log(0.04), 0.7}, // share of the bore
	FilterLoaded:   {math.Log(1.8), 0.6},  // multiple less one
	FanWeak:        {logit(0.22), 0.5},    // share of speed lost
}

// severity turns z into the severity as the contract measures it, SI.
func (v *variant) severity(z float64) float64 {
	switch v.kind {
	case Leak, GateLeaking:
		return v.bore * math.Exp(z)
	case Blockage, GateRestricted:
		return logistic(z)
	case FilterLoaded:
		return 1 + math.Exp(z)
	}
	return 1 - logistic(z)
}

// amount is how much a severity does: what it adds to a coefficient, or the
// share by which it changes it.
func (v *variant) amount(z float64) float64 {
	x := v.severity(z)
	switch v.kind {
	case Blockage:
		return airflow.BlockageLoss(x)
	case GateRestricted:
		return airflow.GateLoss(x)
	case FilterLoaded:
		return x - 1
	case FanWeak:
		return 1 - x
	}
	return x
}

// doing is the severity that does so many times what the middling one does.
func (v *variant) doing(times float64) float64 {
	sp := severities[v.kind]
	want, lo, hi := times*v.amount(sp.mean), sp.mean-mostOff*sp.sd, sp.mean+mostOff*sp.sd
	if v.amount(lo) > v.amount(hi) {
		lo, hi = hi, lo
	}
	for range 20 {
		if z := (lo + hi) / 2; v.amount(z) < want {
			lo = z
		} else {
			hi = z
		}
	}
	return (lo + hi) / 2
}

// mostOff is how far from its mean a severity may lie to start a fit from, in
// standard deviations.
const mostOff = 2.5

// apply changes the coefficients as the fault would.
func (v *variant) apply(c *airflow.Coefs, z float64) {
	x := v.severity(z)
	for _, sp := range v.spots {
		p := sp.slot.Of(c)
		switch v.kind {
		case Leak:
			*p += sp.share * x
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
		}
	}
}

// slope is the derivative of one coefficient by z.
type slope struct {
	slot airflow.Slot
	by   float64
}

// slopes differentiates apply. c holds the coefficients with the fault applied.
func (v *variant) slopes(c *airflow.Coefs, z float64) []slope {
	const e = 1e-4
	out := make([]slope, len(v.spots))
	a, b := v.severity(z-e), v.severity(z+e)
	for i, sp := range v.spots {
		var d float64
		switch v.kind {
		case Leak:
			d = sp.share * (b - a)
		case Blockage:
			d = airflow.BlockageLoss(b) - airflow.BlockageLoss(a)
		case GateRestricted:
			d = airflow.GateLoss(b) - airflow.GateLoss(a)
		case GateLeaking, FanWeak:
			d = b - a
		default:
			d = *sp.slot.Of(c) / v.severity(z) * (b - a)
		}
		out[i] = slope{sp.slot, d / (2 * e)}
	}
	return out
}

// Expected number of faults in a system that someone measures, and how they
// divide by kind. Common practice, no source.
const expectedFaults = 1.0

var kindShare = [...]float64{
	Leak: 0.24, Blockage: 0.28, GateRestricted: 0.18, GateLeaking: 0.11, FilterLoaded: 0.08, FanWeak: 0.11,
}

// sites lists every fault that may be present.
func sites(m *airflow.Model) []*site {
	var out []*site
	add := func(k Kind, where string, duct int, weight, bore float64, vs ...*variant) {
		s := &site{kind: k, where: where, prior: weight, duct: duct, variants: vs}
		for _, v := range vs {
			v.kind, v.bore, v.site = k, bore, len(out)
		}
		out = append(out, s)
	}
	for i := range m.Sys.Ducts {
		d := &m.Sys.Ducts[i]
		segs := m.DuctSegments(i)
		bore := m.Position(segs[0]).Bore
		w := ductWeight(m, i)
		add(Leak, d.ID, i, w, bore, leakVariants(m, segs)...)
		add(Blockage, d.ID, i, w, bore, blockageVariants(m, segs)...)
	}
	for i := range m.Sys.Ports {
		p := &m.Sys.Ports[i]
		x := m.PortSegment(i)
		add(Blockage, p.ID, p.Duct, 1, m.Position(x).Bore, one(airflow.SlotK, x))
	}
	for g := range m.Gates() {
		d, bore := m.GateDuct(g)
		add(GateRestricted, m.GateID(g), d, 1, bore, one(airflow.SlotGateOpen, g))
		add(GateLeaking, m.GateID(g), d, 1, bore, one(airflow.SlotGateArea, g))
	}
	if m.Sys.Collector.Bin {
		add(Leak, "bin", -1, 2, m.Position(airflow.BinNode).Bore, one(airflow.SlotLeak, airflow.BinNode))
	}
	if m.Sys.Collector.Filter != nil {
		add(FilterLoaded, "filter", -1, 1, 0, one(airflow.SlotFilter, 0))
	}
	add(FanWeak, "fan", -1, 1, 0, one(airflow.SlotSpeed, 0))
	normalise(out)
	return out
}

func one(k airflow.SlotKind, ix int) *variant {
	return &variant{weight: 1, spots: []spot{{airflow.Slot{Kind: k, Ix: int32(ix)}, 1}}}
}

// ductWeight: hoses are trodden on, torn and clogged; a main seldom is.
func ductWeight(m *airflow.Model, i int) float64 {
	d := &m.Sys.Ducts[i]
	switch {
	case d.Material == "flexible":
		return 1.3
	case len(d.Children) > 1:
		return 0.7
	}
	return 1
}

// leakVariants: along each piece between taps, and at the join downstream.
func leakVariants(m *airflow.Model, segs []int) []*variant {
	var out []*variant
	total := 0.0
	for _, x := range segs {
		p := m.Position(x)
		total += p.To - p.From
	}
	for _, x := range segs {
		p := m.Position(x)
		w := 0.6
		if total > 0 {
			w *= (p.To - p.From) / total
		} else {
			w /= float64(len(segs))
		}
		// At the piece's upstream end: a tap between reads it whole or not at all,
		// as it does a hole anywhere in the piece.
		out = append(out, &variant{weight: w, spots: []spot{{airflow.Slot{Kind: airflow.SlotLeak, Ix: int32(x)}, 1}}})
	}
	end := m.Position(segs[len(segs)-1]).Parent
	return append(out, &variant{weight: 0.4, spots: []spot{{airflow.Slot{Kind: airflow.SlotLeak, Ix: int32(end)}, 1}}})
}

// blockageVariants: in each piece between taps.
func blockageVariants(m *airflow.Model, segs []int) []*variant {
	var out []*variant
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
		v.weight = w
		out = append(out, v)
	}
	return out
}

// normalise turns weights into probabilities: the kinds' shares of the
// expected number of faults, divided among the places of the kind.
func normalise(ss []*site) {
	var sum [FanWeak + 1]float64
	for _, s := range ss {
		sum[s.kind] += s.prior
	}
	for _, s := range ss {
		s.prior = min(expectedFaults*kindShare[s.kind]*s.prior/sum[s.kind], 0.5)
	}
}
