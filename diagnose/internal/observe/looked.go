package observe

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/readings"
	"lostair/readings/problem"
)

// Looked is a look that was taken, bound to the system.
type Looked struct {
	Row  *readings.Row
	Site siteName // the fault that it shows; of a look that shows none: empty
}

// siteName is a kind of fault at a place.
type siteName struct {
	kind  fault.Kind
	Where string
}

// LookRate is what a look shows and how far it can be trusted: the answer that
// speaks for the fault, and how often it is given with and without the fault.
type LookRate struct {
	Look    readings.Look
	Kind    fault.Kind
	yes     bool    // whether yes speaks for the fault
	Sees    float64 // chance of that answer if the fault is there
	Mistake float64 // and if it is not
	Minutes float64
}

// LookRates: one answer in twenty is wrong. A wheel that turns the wrong way is
// one weak fan in seven; the others turn right. Common practice, no source.
var LookRates = [...]LookRate{
	{readings.OpensFully, fault.GateRestricted, false, 0.95, 0.05, 1},
	{readings.ShutsFully, fault.GateLeaking, false, 0.95, 0.05, 1},
	{readings.Clings, fault.GateLeaking, true, 0.95, 0.05, 1.5},
	{readings.Hisses, fault.Leak, true, 0.95, 0.05, 3},
	{readings.ClearInside, fault.Blockage, false, 0.95, 0.05, 4},
	{readings.Sealed, fault.Leak, false, 0.95, 0.05, 2},
	{readings.TurnsRightWay, fault.FanWeak, false, 0.15, 0.05, 4},
	{readings.Clean, fault.FilterLoaded, false, 0.95, 0.05, 3},
}

func rateOf(k readings.Look) (LookRate, bool) {
	for _, r := range LookRates {
		if r.Look == k {
			return r, true
		}
	}
	return LookRate{}, false
}

// AgainWorth is what a look taken again tells, beside the time before: the same
// eyes make the same mistake. Common practice, no source.
const AgainWorth = 0.3

// bindLooks finds the places of looks in the system.
func bindLooks(m *airflow.Model, s *readings.Survey) ([]Looked, problem.List) {
	var out []Looked
	var bad problem.List
	for i := range s.Looks {
		row := &s.Looks[i]
		x, pr := bindLook(m, s.File, row)
		if bad = append(bad, pr...); len(pr) == 0 {
			out = append(out, x)
		}
	}
	return out, bad
}

func bindLook(m *airflow.Model, file string, row *readings.Row) (Looked, problem.List) {
	x := Looked{Row: row}
	var bad problem.List
	for _, g := range row.Open.Gates {
		if _, found := m.GateIndex(g); !found {
			bad = append(bad, Unknown(file, row.Line, row.Columns.Open, "gate", g, m.Sys.Gates()))
		}
	}
	where, ok := LookPlace(m, row.Look.At(), row.Point)
	if !ok {
		return x, append(bad, lookProblem(m, file, row))
	}
	if row.Look == readings.InsideDiameter {
		if p, wrong := boreProblem(m, file, row); wrong {
			bad = append(bad, p)
		}
	}
	if r, ok := rateOf(row.Look); ok {
		x.Site = siteName{r.Kind, where}
	}
	return x, bad
}

// LookPlace is where the fault lies that a look at a point shows; false if that
// look can't be taken there.
func LookPlace(m *airflow.Model, at readings.Places, point string) (string, bool) {
	if _, ok := m.GateIndex(point); ok && at&readings.AtGate != 0 {
		return point, true
	}
	if p, ok := m.Sys.PortNamed(point); ok && at&readings.AtPort != 0 {
		if at&readings.AtGate == 0 {
			return point, true
		}
		return gateOfPort(m, p)
	}
	if _, ok := m.Sys.DuctNamed(point); ok && at&readings.AtDuct != 0 {
		return point, true
	}
	c := &m.Sys.Collector
	for _, x := range []struct {
		at    readings.Places
		point string
		have  bool
	}{
		{readings.AtBin, readings.Bin, c.Bin}, {readings.AtFan, readings.FanPoint, true},
		{readings.AtFilter, readings.Filter, c.Filter != nil}, {readings.AtInlet, readings.CollectorInlet, true},
	} {
		if at&x.at != 0 && point == x.point && x.have {
			return point, true
		}
	}
	return "", false
}

// gateOfPort is the gate nearest to a port's mouth on its way.
func gateOfPort(m *airflow.Model, p int) (string, bool) {
	for d := m.Sys.Ports[p].Duct; d >= 0; d = m.Sys.Ducts[d].Into {
		if g := m.Sys.Ducts[d].Gate; g != "" {
			return g, true
		}
	}
	return "", false
}

func lookProblem(m *airflow.Model, file string, row *readings.Row) problem.Problem {
	p := problem.Problem{File: file, Line: row.Line, Column: row.Columns.Point,
		What: fmt.Sprintf("%s is looked at on %s, and the system file has no such %q", row.Look, row.Look.At(), row.Point)}
	ids := lookIDs(m, row.Look.At())
	slices.Sort(ids)
	ids = slices.Compact(ids)
	p.Do = "correct the point, or the look"
	if len(ids) == 0 { // one place, or none of its kind
		place := row.Look.At().String()
		_, have := LookPlace(m, row.Look.At(), place)
		switch gates := row.Look.At()&readings.AtGate != 0; {
		case gates:
			p.What = fmt.Sprintf("the system file has no gate, and %s is looked at on one", row.Look)
		case have:
			p.What = fmt.Sprintf("%s is looked at on %s, not on %q", row.Look, place, row.Point)
			p.Do = fmt.Sprintf("write %s as the point, or correct the look", place)
		default:
			p.What = fmt.Sprintf("the system has no %s", place)
		}
		return p
	}
	if near, ok := problem.Nearest(row.Point, ids); ok {
		p.Do = fmt.Sprintf("did you mean %q?", near)
	} else if _, port := m.Sys.PortNamed(row.Point); port && row.Look == readings.InsideDiameter {
		p.Do = "write the id of the pipe or hose; the machine's own port stands as opening in the system file"
	} else if n := len(ids); n > 0 && n <= 24 {
		p.Do = "known are " + strings.Join(ids, ", ")
	}
	return p
}

// lookIDs are the gates, ports and ducts that a look may be taken at.
func lookIDs(m *airflow.Model, at readings.Places) []string {
	var ids []string
	if at&readings.AtGate != 0 {
		ids = append(ids, m.Sys.Gates()...)
	}
	if at&readings.AtPort != 0 {
		ids = append(ids, portIDs(m)...)
	}
	for i := range m.Sys.Ducts {
		if at&readings.AtDuct != 0 {
			ids = append(ids, m.Sys.Ducts[i].ID)
		}
	}
	return ids
}

// Seen gives the places their probabilities after the looks: each answer raises or
// lowers the odds of the fault that it shows.
func Seen(ss []*fault.Site, looks []Looked) []*fault.Site {
	times := map[string]int{}
	for _, x := range looks {
		r, ok := rateOf(x.Row.Look)
		if !ok {
			continue
		}
		key := string(x.Row.Look) + "\x00" + x.Site.Where
		by := r.log(x.Row.Yes()) * math.Pow(AgainWorth, float64(times[key]))
		times[key]++
		for _, s := range ss {
			if s.Kind == x.Site.kind && s.Where == x.Site.Where {
				s.Prior = fault.Logistic(fault.Logit(s.Prior) + by)
			}
		}
	}
	return ss
}

// log is by how much an answer raises the log odds of the fault.
func (r *LookRate) log(yes bool) float64 {
	if yes == r.yes {
		return math.Log(r.Sees / r.Mistake)
	}
	return math.Log((1 - r.Sees) / (1 - r.Mistake))
}
