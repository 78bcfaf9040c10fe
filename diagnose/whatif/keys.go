package whatif

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/duct/keys"
	"lostair/diagnose/duct/trade"
	"lostair/diagnose/handbook"
	"lostair/readings"
	"lostair/readings/units"
)

// target is what a key of a change belongs to; a gate may share its port's id.
type target uint8

const (
	ofDuct target = 1 << iota
	ofPort
	ofMachine
	ofGate
	ofBin
	ofAir
	ofCollector
	whole // no id before it
)

func (e *Edit) targetOf(id string) target {
	var t target
	if _, ok := e.Sys.DuctNamed(id); ok {
		t |= ofDuct
	}
	if _, ok := e.Sys.PortNamed(id); ok {
		t |= ofPort
	}
	if _, ok := e.machine(id); ok {
		t |= ofMachine
	}
	for _, g := range e.Sys.Gates() {
		if g == id {
			t |= ofGate
		}
	}
	switch {
	case id == readings.Bin && e.Sys.Collector.Bin:
		t |= ofBin
	case id == "air":
		t |= ofAir
	case id == "collector":
		t |= ofCollector
	}
	return t
}

// settable is a key of a change.
type settable struct {
	written, name string
	of            target
	what          string
	set           func(e *Edit, id, value string) (before, after Amount, err error)
}

// settables are named as in the system file, and as the kinds of fault are.
var settables = []settable{
	{"DUCT.diameter", "diameter", ofDuct, "inside diameter; a rectangular duct becomes round", setDiameter},
	{"DUCT.length", "length", ofDuct, "length", ductAmount(units.Length, func(d *duct.Duct) *float64 { return &d.Length })},
	{"DUCT.material", "material", ofDuct, "material by name", setMaterial},
	{"DUCT.roughness", "roughness", ofDuct, "roughness in place of a material", setRoughness},
	{"DUCT.enters", "enters", ofDuct, "straight, or the branch angle in degrees", setEnters},
	{"DUCT.loss", "loss", ofDuct, "a loss added, K on the duct's velocity pressure", setLoss},
	{"DUCT.leak", "leak", ofDuct, "open area of a hole halfway along", setLeak},
	{"DUCT.blockage", "blockage", ofDuct, "share of the bore closed", setBlockage},
	{"PORT.hood", "hood", ofPort, "hood by name, or its entry loss", setHood},
	{"PORT.need", "need", ofPort, "flow that the machine needs", setNeed},
	{"MACHINE.need", "need", ofMachine, "flow that a machine with several ports needs, all of them together", setNeed},
	{"PORT.blockage", "blockage", ofPort, "share of the bore closed at the hood", setBlockage},
	{"GATE.travel", "travel", ofGate, "share of its travel that an open gate is open", setTravel},
	{"GATE.leak", "leak", ofGate, "open area left when it is shut", setGateLeak},
	{"bin.leak", "leak", ofBin, "open area of a hole at the bin", setBinLeak},
	{"collector.inlet", "inlet", ofCollector, "diameter of the collector's inlet", setInlet},
	{"air.temperature", "temperature", ofAir, "temperature in the room", setTemperature},
	{"air.altitude", "altitude", ofAir, "altitude", setAltitude},
	{"filter", "filter", whole, "multiple of the filter's clean drop", setFilter},
	{"cyclone", "cyclone", whole, "multiple of the cyclone's loss", setCyclone},
	{"fan", "fan", whole, "speed of the fan, % of the curve's", setFan},
}

// Keys lists the keys of a change, one a line, for help.
func Keys() []string {
	var out []string
	for _, k := range settables {
		out = append(out, fmt.Sprintf("%-20s %s", k.written, k.what))
	}
	return out
}

// KeysOf lists every key that can be set of a system, with what it is.
func KeysOf(s *duct.System) (keys, what []string) {
	e := &Edit{Sys: s}
	for _, id := range slices.Compact(append([]string{""}, e.names()...)) {
		t := whole
		if id != "" {
			t = e.targetOf(id)
		}
		for _, k := range settables {
			if k.of&t == 0 || k.of == ofPort && k.name == "need" && e.shares(id) {
				continue
			}
			key := k.name
			if id != "" {
				key = id + "." + key
			}
			keys, what = append(keys, key), append(what, k.what)
		}
	}
	return keys, what
}

func keyNamed(name string, t target) *settable {
	for i := range settables {
		if k := &settables[i]; k.name == name && k.of&t != 0 {
			return k
		}
	}
	return nil
}

func keysOf(t target) []string {
	var out []string
	for _, k := range settables {
		if k.of&t != 0 {
			out = append(out, k.name)
		}
	}
	sort.Strings(out)
	return slices.Compact(out)
}

// amount parses a value of a dimension that must lie between two limits.
func (e *Edit) amount(value string, d units.Dimension, least, most float64) (float64, error) {
	v, err := units.Parse(value, d, e.Sys.Units)
	if err != nil {
		return 0, err
	}
	if v.SI < least || most > 0 && v.SI > most {
		return 0, fmt.Errorf("%s is not possible: it must lie between %s and %s", value, units.Format(least, d, e.Sys.Units), units.Format(most, d, e.Sys.Units))
	}
	return v.SI, nil
}

func (e *Edit) duct(id string) *duct.Duct {
	i, _ := e.Sys.DuctNamed(id)
	return &e.Sys.Ducts[i]
}

// machine is one that several ports serve, by its id.
func (e *Edit) machine(id string) (*duct.Machine, bool) {
	for i := range e.Sys.Machines {
		if x := &e.Sys.Machines[i]; x.ID == id {
			return x, true
		}
	}
	return nil, false
}

// shares is whether a port has but its share of its machine's need.
func (e *Edit) shares(id string) bool {
	i, ok := e.Sys.PortNamed(id)
	return ok && e.Sys.Ports[i].Shares
}

func (e *Edit) port(id string) *duct.Port {
	i, _ := e.Sys.PortNamed(id)
	return &e.Sys.Ports[i]
}

// setDiameter changes a duct's diameter. What is said of a rectangular one is the
// diameter of the same area.
func setDiameter(e *Edit, id, value string) (before, after Amount, err error) {
	before, after, err = ductAmount(units.Diameter, func(d *duct.Duct) *float64 { return &d.Diameter })(e, id, value)
	if err == nil {
		d := e.duct(id)
		d.MakeRound(d.Diameter)
	}
	return before, after, err
}

func ductAmount(d units.Dimension, of func(*duct.Duct) *float64) func(*Edit, string, string) (Amount, Amount, error) {
	return func(e *Edit, id, value string) (Amount, Amount, error) {
		least, most := 0.001, 1000.0
		if d == units.Diameter {
			least, most = keys.MinDiameter, keys.MaxDiameter
		}
		v, err := e.amount(value, d, least, most)
		if err != nil {
			return Amount{}, Amount{}, err
		}
		p := of(e.duct(id))
		before := amountOf(*p, d)
		*p = v
		return before, amountOf(v, d), nil
	}
}

func setMaterial(e *Edit, id, value string) (Amount, Amount, error) {
	if _, ok := trade.MaterialNamed(value); !ok {
		return Amount{}, Amount{}, fmt.Errorf("there is no material %q; known are %s", shortly(value), strings.Join(materialNames(), ", "))
	}
	d := e.duct(id)
	before := called(d.Material)
	if before == (Amount{}) {
		before = Amount{"roughness ", d.Roughness, units.Roughness, true}
	}
	d.Material, d.Roughness, d.Compressed, d.Lined = value, 0, 0, false
	return before, called(value), nil
}

func materialNames() []string {
	var out []string
	for _, m := range trade.Materials() {
		out = append(out, m.Name)
	}
	return out
}

func setRoughness(e *Edit, id, value string) (Amount, Amount, error) {
	v, err := e.amount(value, units.Roughness, 0, 0.05)
	if err != nil {
		return Amount{}, Amount{}, err
	}
	d := e.duct(id)
	before := called(d.Material)
	if before == (Amount{}) {
		before = amountOf(d.Roughness, units.Roughness)
	}
	d.Material, d.Roughness, d.Compressed, d.Lined = "", v, 0, false
	return before, amountOf(v, units.Roughness), nil
}

func setEnters(e *Edit, id, value string) (Amount, Amount, error) {
	d := e.duct(id)
	before := called("straight")
	if !d.Straight {
		before = called(fmt.Sprintf("%.3g°", d.Angle*180/math.Pi))
	}
	if value == "straight" {
		d.Straight, d.Angle = true, 0
		return before, called(value), nil
	}
	v, err := units.Parse(strings.TrimSuffix(value, "°"), units.Number, e.Sys.Units)
	if err != nil {
		return Amount{}, Amount{}, err
	}
	if v.SI < 0 || v.SI > 90 {
		return Amount{}, Amount{}, fmt.Errorf("a branch enters at 0 to 90 degrees, or straight")
	}
	d.Straight, d.Angle = false, v.SI*units.Degree
	return before, called(fmt.Sprintf("%.3g°", v.SI)), nil
}

func setLoss(e *Edit, id, value string) (Amount, Amount, error) {
	v, err := e.amount(value, units.Number, 0, 1000)
	if err != nil {
		return Amount{}, Amount{}, err
	}
	d := e.duct(id)
	d.Fittings = append(d.Fittings, duct.Fitting{Count: 1, Loss: v, What: "what if"})
	return Amount{}, amountOf(v, units.Number), nil
}

func setLeak(e *Edit, id, value string) (Amount, Amount, error) {
	v, err := e.amount(value, units.Area, 0, 1)
	if err != nil {
		return Amount{}, Amount{}, err
	}
	i, _ := e.Sys.DuctNamed(id)
	e.holed = append(e.holed, i)
	e.changes = append(e.changes, func(m *airflow.Model, c *airflow.Coefs) {
		half := m.Sys.Ducts[i].Length / 2
		for _, x := range m.DuctSegments(i) {
			if m.Position(x).From >= half {
				c.Leak[x] += v // at its upstream end, that is
				return
			}
		}
	})
	return Amount{}, amountOf(v, units.Area), nil
}

func setBlockage(e *Edit, id, value string) (Amount, Amount, error) {
	v, err := e.amount(value, units.Share, 0, 0.999)
	if err != nil {
		return Amount{}, Amount{}, err
	}
	e.changes = append(e.changes, func(m *airflow.Model, c *airflow.Coefs) {
		x := -1
		if d, ok := m.Sys.DuctNamed(id); ok {
			segs := m.DuctSegments(d)
			x = segs[len(segs)/2]
		} else if p, ok := m.Sys.PortNamed(id); ok {
			x = m.PortSegment(p)
		}
		if x >= 0 && v > 0 {
			c.K[x] += handbook.BlockageLoss(v)
		}
	})
	return Amount{}, amountOf(v, units.Share), nil
}

func setHood(e *Edit, id, value string) (Amount, Amount, error) {
	p := e.port(id)
	before := called(p.Hood)
	if before == (Amount{}) {
		before = amountOf(p.Loss, units.Number)
	}
	if _, ok := trade.HoodNamed(value); ok {
		p.Hood, p.Loss, p.Taper = value, 0, 0
		return before, called(value), nil
	}
	v, err := e.amount(value, units.Number, 0, 1000)
	if err != nil {
		var names []string
		for _, h := range trade.Hoods() {
			names = append(names, h.Name)
		}
		return Amount{}, Amount{}, fmt.Errorf("%q is no hood; known are %s, or a number", shortly(value), strings.Join(names, ", "))
	}
	p.Hood, p.Loss, p.Taper = "", v, 0
	return before, amountOf(v, units.Number), nil
}

func setNeed(e *Edit, id, value string) (Amount, Amount, error) {
	v, err := e.amount(value, units.Flow, 0, 1000)
	if err != nil {
		return Amount{}, Amount{}, err
	}
	var need *float64
	if x, ok := e.machine(id); ok {
		need = &x.Need
	} else if i, _ := e.Sys.PortNamed(id); e.shares(id) {
		x, _ := e.Sys.MachineOf(i)
		return Amount{}, Amount{}, refusal{fmt.Sprintf("port %q shares the need of its machine %q, %s", id, x.ID, units.Format(x.Need, units.Flow, e.Sys.Units)),
			fmt.Sprintf("set that of the machine: '%s.need=%s'", x.ID, value)}
	} else {
		need = &e.Sys.Ports[i].Need
	}
	before := Amount{}
	if *need > 0 {
		before = amountOf(*need, units.Flow)
	}
	*need = v
	return before, amountOf(v, units.Flow), nil
}

func setTravel(e *Edit, id, value string) (Amount, Amount, error) {
	v, err := e.amount(value, units.Share, 0.02, 1)
	if err != nil {
		return Amount{}, Amount{}, err
	}
	e.changes = append(e.changes, func(m *airflow.Model, c *airflow.Coefs) {
		if g, ok := m.GateIndex(id); ok {
			c.GateOpen[g] += handbook.GateLoss(v)
		}
	})
	return amountOf(1, units.Share), amountOf(v, units.Share), nil
}

func setGateLeak(e *Edit, id, value string) (Amount, Amount, error) {
	v, err := e.amount(value, units.Area, 0, 1)
	if err != nil {
		return Amount{}, Amount{}, err
	}
	e.changes = append(e.changes, func(m *airflow.Model, c *airflow.Coefs) {
		if g, ok := m.GateIndex(id); ok {
			c.GateArea[g] = v
		}
	})
	return Amount{}, amountOf(v, units.Area), nil
}

func setBinLeak(e *Edit, _, value string) (Amount, Amount, error) {
	v, err := e.amount(value, units.Area, 0, 1)
	if err != nil {
		return Amount{}, Amount{}, err
	}
	e.changes = append(e.changes, func(_ *airflow.Model, c *airflow.Coefs) { c.Leak[airflow.BinNode] += v })
	return Amount{}, amountOf(v, units.Area), nil
}

func setInlet(e *Edit, _, value string) (Amount, Amount, error) {
	v, err := e.amount(value, units.Diameter, 0.01, 5)
	if err != nil {
		return Amount{}, Amount{}, err
	}
	before := amountOf(e.Sys.Collector.Inlet, units.Diameter)
	e.Sys.Collector.Inlet = v
	return before, amountOf(v, units.Diameter), nil
}

func setTemperature(e *Edit, _, value string) (Amount, Amount, error) {
	v, err := e.amount(value, units.Temperature, 223, 373)
	if err != nil {
		return Amount{}, Amount{}, err
	}
	before := amountOf(e.Sys.Air.Temperature, units.Temperature)
	e.Sys.Air.Standard, e.Sys.Air.Temperature = false, v
	return before, amountOf(v, units.Temperature), nil
}

func setAltitude(e *Edit, _, value string) (Amount, Amount, error) {
	v, err := units.Parse(value, units.Length, e.Sys.Units)
	if err != nil {
		return Amount{}, Amount{}, err
	}
	if v.SI < -500 || v.SI > 6000 {
		return Amount{}, Amount{}, fmt.Errorf("%s is not possible: people work between -500 and 6000 m", value)
	}
	before := amountOf(e.Sys.Air.Altitude, units.Length)
	e.Sys.Air.Standard, e.Sys.Air.Altitude, e.Sys.Air.Barometer = false, v.SI, 0
	return before, amountOf(v.SI, units.Length), nil
}

func setFilter(e *Edit, _, value string) (Amount, Amount, error) {
	if e.Sys.Collector.Filter == nil {
		return Amount{}, Amount{}, fmt.Errorf("the system has no filter")
	}
	v, err := e.amount(value, units.Multiple, 0, 1000)
	if err != nil {
		return Amount{}, Amount{}, err
	}
	e.changes = append(e.changes, func(_ *airflow.Model, c *airflow.Coefs) { c.Filter *= v })
	return amountOf(1, units.Multiple), amountOf(v, units.Multiple), nil
}

func setCyclone(e *Edit, _, value string) (Amount, Amount, error) {
	if e.Sys.Collector.Cyclone == nil {
		return Amount{}, Amount{}, fmt.Errorf("the system has no cyclone")
	}
	v, err := e.amount(value, units.Multiple, 0, 1000)
	if err != nil {
		return Amount{}, Amount{}, err
	}
	e.changes = append(e.changes, func(_ *airflow.Model, c *airflow.Coefs) { c.Cyclone *= v })
	return amountOf(1, units.Multiple), amountOf(v, units.Multiple), nil
}

func setFan(e *Edit, _, value string) (Amount, Amount, error) {
	v, err := e.amount(value, units.Share, 0.05, 2)
	if err != nil {
		return Amount{}, Amount{}, err
	}
	e.changes = append(e.changes, func(_ *airflow.Model, c *airflow.Coefs) { c.Speed *= v })
	return amountOf(1, units.Share), amountOf(v, units.Share), nil
}
