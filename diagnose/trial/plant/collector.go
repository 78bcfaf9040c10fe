package plant

import (
	"math"
	"slices"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/readings/units"
)

// collector chooses inlet, cyclone, filter and order; the fan comes later.
func (p *planner) collector() {
	c := &p.s.Collector
	c.Inlet = p.s.Ducts[0].Diameter
	q := p.fanFlow()
	at := neat(q, units.Flow, p.units, 50, 25)
	if !p.Chance(0.12) {
		c.Cyclone = &duct.Drop{Pressure: neat(p.Between(350, 800), units.Pressure, p.units, 10, 0.1), At: at}
		c.Bin = p.Chance(0.9)
	}
	if !p.Chance(0.08) {
		c.Filter = &duct.Drop{Pressure: neat(p.Between(100, 240), units.Pressure, p.units, 10, 0.05), At: at}
	}
	if c.Cyclone != nil && c.Filter != nil {
		switch {
		case p.Chance(0.12):
			c.Order = []duct.Part{duct.Cyclone, duct.Filter, duct.Fan}
		case p.Chance(0.08):
			c.Order = []duct.Part{duct.Fan, duct.Cyclone, duct.Filter}
		}
	}
	if p.Chance(0.5) {
		c.Density = neat(1.2, units.Density, p.units, 0.1, 0.005)
	}
	p.curve(p.Between(1.9, 2.8), p.Chance(0.2), 2500, q)
}

func (p *planner) fanFlow() float64 { return 1.08 * p.design(p.leaves) }

// curve lays a fan curve through a pressure at a flow: it falls with a power
// of the flow, from a peak at no flow or a little after it.
func (p *planner) curve(power float64, peaked bool, pressure, flow float64) {
	c := &p.s.Collector
	c.Curve = nil
	last := math.Inf(1)
	for i, x := range []float64{0, 0.3, 0.6, 0.85, 1.05, 1.25, 1.45, 1.6} {
		y := 1.3 - 0.3*math.Pow(x, power)
		if i == 0 && peaked {
			y *= 0.97
		}
		if x > 1 {
			y -= 0.12 * (x - 1)
		}
		pt := duct.CurvePoint{Flow: neat(x*flow, units.Flow, p.units, 10, 5), Pressure: neat(max(pressure*y, 0), units.Pressure, p.units, 10, 0.05)}
		if i > 1 || !peaked {
			pt.Pressure = min(pt.Pressure, last)
		}
		last = pt.Pressure
		if n := len(c.Curve); n == 0 || pt.Flow > c.Curve[n-1].Flow {
			c.Curve = append(c.Curve, pt)
		}
	}
}

// sizeFan raises or lowers the fan until the middle port gets what it was laid
// out for, in the gate configurations that the plant runs in.
func (p *planner) sizeFan() {
	power, peaked := p.Between(1.9, 2.8), p.Chance(0.2)
	pressure := 2500.0
	running := p.running()
	for range 7 {
		p.curve(power, peaked, pressure, p.fanFlow())
		share := p.shares(running)
		slices.Sort(share)
		mid := share[len(share)/2]
		pressure *= min(max(math.Pow(1.12/mid, 1.6), 0.4), 2.5)
		pressure = min(max(pressure, 1000), 4500)
	}
}

// running gives some gate configurations that the plant is laid out for: ports.
func (p *planner) running() [][]int {
	n := len(p.s.Ports)
	k := max(1, int(math.Round(Together(n)*float64(n))))
	sets := 1
	if k < n {
		sets = min(5, (n+k-1)/k)
	}
	order := p.Perm(n)
	var out [][]int
	for i := range sets {
		var set []int
		for j := range k {
			set = append(set, order[(i*k+j)%n])
		}
		out = append(out, set)
	}
	return out
}

// shares gives flow over layout flow of the ports of each set.
func (p *planner) shares(sets [][]int) []float64 {
	m := MustModel(p.s, airflow.Options{})
	c, s := m.Coefs(), m.NewState()
	var out []float64
	for _, set := range sets {
		if s.Solve(&c, Opened(m, set)) != nil {
			continue
		}
		for _, i := range set {
			out = append(out, s.PortFlow(i)/p.s.Ports[i].Need)
		}
	}
	if len(out) == 0 {
		return []float64{1}
	}
	return out
}

// needs writes down what each machine needs: less than it gets by design,
// apart from the few whose hose is too small. Both join laws are asked, so that a
// port is clearly well off or clearly not.
func (p *planner) needs() {
	n := len(p.s.Ports)
	low, high := make([]float64, n), make([]float64, n)
	for i := range p.s.Ports {
		low[i], high[i] = math.Inf(1), 0
	}
	for _, law := range []airflow.Join{airflow.Momentum, airflow.Handbook} {
		p.bounds(MustModel(p.s, airflow.Options{Join: law}), low, high)
	}
	wide := p.widened()
	for i := range p.s.Ports {
		q := &p.s.Ports[i]
		need := min(q.Need, p.Between(0.6, 0.8)*low[i])
		if u := p.Between(0.3, 0.65); wide[i] > 1.1*high[i] && high[i] > 0 {
			need = high[i] * math.Pow(wide[i]/high[i], u)
		}
		q.Need = max(neat(need, units.Flow, p.units, 10, 5), units.Flow.ToSI(p.units, 5))
		if p.Chance(0.03) {
			q.Need = 0 // nobody knows
		}
	}
}

// widened gives what a port whose hose is too small would get alone with a
// hose as wide as its drop; 0 for the others.
func (p *planner) widened() []float64 {
	out := make([]float64, len(p.s.Ports))
	s := p.s.Copy()
	for i := range s.Ports {
		d := &s.Ducts[s.Ports[i].Duct]
		if p.leaves[i].narrow && d.Into >= 0 && s.Ducts[d.Into].Diameter > d.Diameter {
			out[i], d.Diameter = 1, s.Ducts[d.Into].Diameter
		}
	}
	s.Finish() // as sound as p.s is
	m := MustModel(s, airflow.Options{})
	c, st := m.Coefs(), m.NewState()
	for i := range out {
		if out[i] == 0 {
			continue
		}
		out[i] = 0
		if st.Solve(&c, Opened(m, []int{i})) == nil {
			out[i] = st.PortFlow(i)
		}
	}
	return out
}

// bounds widens low and high to the flows that ports get as the plant runs,
// and alone; high counts the latter only, as that is where a drop is judged.
// A plant that runs whole has ports alone far above their need, so only
// those with a small hose are looked at.
func (p *planner) bounds(m *airflow.Model, low, high []float64) {
	c, s := m.Coefs(), m.NewState()
	for _, set := range p.running() {
		if s.Solve(&c, Opened(m, set)) != nil {
			continue
		}
		for _, i := range set {
			low[i] = min(low[i], s.PortFlow(i))
		}
	}
	for i := range low {
		if Together(len(low)) == 1 && !p.leaves[i].narrow {
			continue
		}
		if s.Solve(&c, Opened(m, []int{i})) == nil {
			low[i], high[i] = min(low[i], s.PortFlow(i)), max(high[i], s.PortFlow(i))
		}
	}
}
