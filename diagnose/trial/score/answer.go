package score

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"

	"lostair/diagnose/trial"
	"lostair/readings/units"
)

// Answer is what a diagnosis said of a case, SI.
type Answer struct {
	Verdict    string // clear, faults or unclear
	Faults     []Named
	Candidates []Named
	Ports      []PortAnswer
	Seconds    float64 // it took; 0: not known
}

// Named is a fault that an answer names.
type Named struct {
	Kind, Where string
	Probability float64
	Together    float64   // of an asserted one
	Alike       []Named   // of which kind and place count
	Severity    *Interval // nil: none given
}

// Interval is a value and its 90 % interval; NaN: not given.
type Interval struct{ Value, Low, High float64 }

// PortAnswer is the flow that an answer gives for a port.
type PortAnswer struct {
	Port string
	Open string // as in the readings file
	Flow Interval
}

// ReadAnswer reads an answer from the JSON that the contract describes.
func ReadAnswer(data []byte) (*Answer, error) {
	var in struct {
		Verdict    string      `json:"verdict"`
		Faults     []namedJSON `json:"faults"`
		Candidates []namedJSON `json:"candidates"`
		Ports      []struct {
			Port string        `json:"port"`
			Open string        `json:"open"`
			Flow *intervalJSON `json:"flow"`
		} `json:"ports"`
		Seconds float64 `json:"seconds"`
	}
	if err := json.Unmarshal(data, &in); err != nil {
		return nil, fmt.Errorf("trial: answer: %w", err)
	}
	out := &Answer{Verdict: in.Verdict, Seconds: in.Seconds}
	for _, f := range in.Faults {
		out.Faults = append(out.Faults, f.named())
	}
	for _, f := range in.Candidates {
		out.Candidates = append(out.Candidates, f.named())
	}
	for _, p := range in.Ports {
		if p.Flow != nil {
			out.Ports = append(out.Ports, PortAnswer{p.Port, p.Open, *p.Flow.si("flow")})
		}
	}
	return out, nil
}

type namedJSON struct {
	Kind        string        `json:"kind"`
	Where       string        `json:"where"`
	Probability float64       `json:"probability"`
	Together    float64       `json:"together"`
	Alike       []namedJSON   `json:"alike"`
	Severity    *intervalJSON `json:"severity"`
}

func (n namedJSON) named() Named {
	out := Named{Kind: n.Kind, Where: n.Where, Probability: n.Probability, Together: n.Together}
	for _, a := range n.Alike {
		out.Alike = append(out.Alike, a.named())
	}
	if n.Severity != nil {
		out.Severity = n.Severity.si(n.Kind)
	}
	return out
}

type intervalJSON struct {
	Value *float64 `json:"value"`
	Low   *float64 `json:"low"`
	High  *float64 `json:"high"`
	Unit  string   `json:"unit"`
}

func (v *intervalJSON) si(kind string) *Interval {
	get := func(x *float64) float64 {
		if x == nil {
			return math.NaN()
		}
		return anySI(*x, v.Unit, kind)
	}
	return &Interval{get(v.Value), get(v.Low), get(v.High)}
}

// anySI converts from a unit of the dimension that a kind's severity has; NaN
// if it is none.
func anySI(v float64, unit, kind string) float64 {
	dims := []units.Dimension{units.Pressure, units.Velocity, units.Flow}
	switch kind {
	case trial.Leak, trial.GateLeaking:
		dims = []units.Dimension{units.Area}
	case trial.Undersized:
		dims = []units.Dimension{units.Diameter}
	case trial.FilterLoaded:
		return v
	case trial.Blockage, trial.GateRestricted, trial.FanWeak:
		return v / 100
	case "flow":
		dims = []units.Dimension{units.Flow}
	}
	for _, d := range dims {
		if x, err := units.ParseIn(fmt.Sprintf("%.12g", v), d, unit); err == nil {
			return x.SI
		}
	}
	return math.NaN()
}

// id is what names a fault.
type id struct{ kind, where string }

func (n *Named) id() id { return id{n.Kind, n.Where} }

func (v Interval) holds(x float64) bool { return v.Low <= x && x <= v.High }

// names is whether an answer's fault is a true one.
func names(n *Named, f *trial.Fault) bool {
	if n.Kind != f.Kind {
		return false
	}
	if f.Kind == trial.Undersized {
		return slices.Contains(f.Ducts, n.Where)
	}
	return n.Where == f.Where
}

func mainKind(k string) bool { return slices.Contains(trial.MainKinds(), k) }
