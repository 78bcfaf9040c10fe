package observe

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"lostair/diagnose/airflow"
	"lostair/readings"
	"lostair/readings/problem"
	"lostair/readings/units"
)

// Observation is one observation: a row, a traverse, or the mean of many repeats.
type Observation struct {
	Reading int // index into Survey.Readings
	Rows    []int
	Cfg     int
	Probe   airflow.Probe
	Y       float64 // SI, as written
	Sd      float64 // of the instrument, 1 sigma
	Fresh   float64 // what is new in each reading, 1 sigma
	Gain    float64 // what the instrument keeps through the survey, 1 sigma, with the sign of the reading
	GainIx  int     // its parameter
	Zero    float64 // of a manometer whose zero is taken to be off: by how much, 1 sigma, with the sign of the reading; 0: it is not
	Air     float64 // of air taken to be another season's: spread of the logarithm of its density, for what goes with it; 0: it is not
	Off     float64 // of an instrument taken to be far off: spread of the logarithm of how many times too much it shows; 0: it is not
	TapIx   int     // parameter of the tap's own error, -1: none
	AxisIx  int     // parameter of the profile at this tap, -1: none
	By      Instrument
}

// Gates is one gate configuration of a survey.
type Gates struct {
	airflow.Config
	Open    readings.Open
	HoseOff []string
}

// Bound is a survey whose ids have been found in the system.
type Bound struct {
	Survey      *readings.Survey
	Observation []Observation
	Configs     []Gates
	Gains       []string // instruments, a parameter each
	Taps        []string
	Kept        []int // of a thinned survey: which of all observations these are
	Of          int   // and how many there were
	Looks       []Looked
	Denser      float64 // how much denser the air of the day is than the page's, as a share; 0: not said
}

// Only is the survey with some of its observations.
func (b *Bound) Only(keep []int) *Bound {
	out := *b
	if b.Kept == nil {
		out.Of = len(b.Observation)
	}
	out.Kept, out.Observation = keep, make([]Observation, len(keep))
	for k, i := range keep {
		out.Observation[k] = b.Observation[i]
	}
	return &out
}

// RepeatsBelieved is how many repeats count as independent of one another: what
// drifts, and a figure that was copied, is not averaged away by writing it more
// often. Common practice, no source.
const RepeatsBelieved = 16

// repeatsKept is how many repeats are looked at one by one; more are averaged.
const repeatsKept = 4

// Bind resolves a survey against the model. Every problem is reported at once.
func Bind(m *airflow.Model, s *readings.Survey) (*Bound, problem.List) {
	b, bad := BindRound(m, s)
	if n := len(b.Observation); n > mostObservations {
		bad = append(bad, problem.Problem{File: s.File, What: fmt.Sprintf("the survey has %d readings that differ, more than %d", n, mostObservations),
			Do: "leave out settings of the gates that show the same, or split the plant into its duct systems"})
	}
	if n := len(b.Configs); n > mostSettings {
		bad = append(bad, problem.Problem{File: s.File, What: fmt.Sprintf("the survey has %d settings of the gates, more than %d", n, mostSettings),
			Do: "leave out those that show the same, or split the plant into its duct systems"})
	}
	if n := len(m.Sys.Ducts); n > mostDucts {
		bad = append(bad, problem.Problem{File: m.Sys.File, What: fmt.Sprintf("the system has %d ducts; readings are weighed against %d at most", n, mostDucts),
			Do: "split the plant into its duct systems, a file for each collector"})
	}
	return b, bad
}

// mostDucts bounds the system that a survey is weighed against: a reading may bear on
// every duct, and each may have its fault. Own choice; a plant of a thousand ports has
// some 3,000.
const mostDucts = 10_000

// mostSettings bounds a survey likewise: a plant of a thousand ports, each open alone,
// and some more. Own choice.
const mostSettings = 1200

// mostObservations bounds a survey: the work and the memory of a diagnosis go with the
// square of what was read. Own choice; a plant of a thousand ports has some 5,000.
const mostObservations = 6000

// BindRound is Bind for a round that is still to be read, of any length.
func BindRound(m *airflow.Model, s *readings.Survey) (*Bound, problem.List) {
	b := &Bound{Survey: s}
	var bad problem.List
	byKey := map[string]int{}
	for i := range s.Readings {
		rd := &s.Readings[i]
		row := &s.Rows[rd.Rows[0]]
		cfg, ok := b.gates(m, s.File, rd, row, byKey, &bad)
		inst, pr := instrument(m, s.File, row, rd)
		bad = append(bad, pr...)
		p, err := m.ProbeAt(rd.Point, rd.Quantity)
		if err != nil {
			bad = append(bad, pointProblem(m, s.File, row, rd, err))
			continue
		}
		if !ok {
			continue
		}
		if rd.Positions == 0 {
			p = p.OnAxis()
		}
		p = m.In(p, b.Configs[cfg].Config)
		b.add(m, rd, i, cfg, p, inst)
	}
	looks, pr := bindLooks(m, s)
	b.Looks = looks
	bad = append(bad, pr...)
	b.Denser, pr = airOfDay(m, s)
	bad = append(bad, pr...)
	bad.Sort()
	return b, bad.InSheet(s.File, s.Sheet)
}

// Unbound checks the ids in rows that have an error already: what of such a row
// couldn't be read is empty, and nothing is said of it again.
func Unbound(m *airflow.Model, s *readings.Survey) problem.List {
	var b Bound
	var bad problem.List
	byKey := map[string]int{}
	for i := range s.Broken {
		row := &s.Broken[i]
		rd := &readings.Reading{Open: row.Open, Point: row.Point, Quantity: row.Quantity, Instrument: row.Instrument, HoseOff: row.HoseOff}
		b.gates(m, s.File, rd, row, byKey, &bad)
		_, pr := instrument(m, s.File, row, rd)
		bad = append(bad, pr...)
		if rd.Point == "" || rd.Quantity.OfAir() || rd.Point == readings.Room && rd.Quantity == units.NoQuantity || rd.Quantity == units.NoQuantity && Known(m, rd.Point) {
			continue
		}
		if _, err := m.ProbeAt(rd.Point, rd.Quantity); err != nil {
			bad = append(bad, pointProblem(m, s.File, row, rd, err))
		}
	}
	return bad.InSheet(s.File, s.Sheet)
}

// Known is whether a point is one of the system's.
func Known(m *airflow.Model, point string) bool {
	_, _, tap := m.Sys.TapAt(point)
	_, port := m.Sys.PortNamed(point)
	return tap || port || slices.Contains(readings.ReservedPoints(), point)
}

func (b *Bound) gates(m *airflow.Model, file string, rd *readings.Reading, row *readings.Row, seen map[string]int, bad *problem.List) (int, bool) {
	key := rd.Open.String() + "\x00" + strings.Join(rd.HoseOff, "+")
	if i, ok := seen[key]; ok {
		return i, true
	}
	ok := true
	for _, g := range rd.Open.Gates {
		if _, found := m.GateIndex(g); !found {
			*bad = append(*bad, Unknown(file, row.Line, row.Columns.Open, "gate", g, m.Sys.Gates()))
			ok = false
		}
	}
	for _, p := range rd.HoseOff {
		if _, found := m.Sys.PortNamed(p); !found {
			*bad = append(*bad, Unknown(file, row.Line, row.Columns.HoseOff, "port", p, portIDs(m)))
			ok = false
		}
	}
	if !ok {
		return 0, false
	}
	cfg, err := m.Configure(rd.Open.All, rd.Open.Gates, rd.HoseOff)
	if err != nil {
		*bad = append(*bad, problem.Problem{File: file, Line: row.Line, What: err.Error()})
		return 0, false
	}
	seen[key] = len(b.Configs)
	b.Configs = append(b.Configs, Gates{cfg, rd.Open, rd.HoseOff})
	return len(b.Configs) - 1, true
}

// ByConfig lists the observations taken in each configuration.
func (b *Bound) ByConfig() [][]int {
	by := make([][]int, len(b.Configs))
	for i, o := range b.Observation {
		by[o.Cfg] = append(by[o.Cfg], i)
	}
	return by
}

func (b *Bound) add(m *airflow.Model, rd *readings.Reading, ri, cfg int, p airflow.Probe, inst Instrument) {
	base := Observation{Reading: ri, Cfg: cfg, Probe: p, By: inst, GainIx: indexOf(&b.Gains, inst.Id), TapIx: -1, AxisIx: -1}
	_, _, tap := m.Sys.TapAt(rd.Point)
	switch q := rd.Quantity; {
	case tap && (q == units.StaticPressure || q == units.Suction):
		base.TapIx = indexOf(&b.Taps, rd.Point)
	case (tap || p.AtPort()) && (q == units.CentreVelocity || q == units.VelocityPressure && rd.Positions == 0):
		base.AxisIx = indexOf(&b.Taps, rd.Point+"\x00axis")
	}
	split := rd.Positions == 0 && rd.Count <= repeatsKept
	if !split {
		o := base
		o.Rows, o.Y = rd.Rows, rd.Value
		o.Errors(inst, rd.Quantity, m.Air.Density, min(max(rd.Count, 1), RepeatsBelieved), rd.Positions)
		b.Observation = append(b.Observation, o)
		return
	}
	for _, r := range rd.Rows {
		o := base
		o.Rows, o.Y = []int{r}, b.Survey.Rows[r].Value
		o.Errors(inst, rd.Quantity, m.Air.Density, 1, 0)
		b.Observation = append(b.Observation, o)
	}
}

// Errors splits the instrument's variance in halves: one that it keeps through
// the survey, one fresh in each reading (the contract's definition).
func (o *Observation) Errors(in Instrument, q units.Quantity, density float64, repeats, positions int) {
	o.Sd = in.Sigma(o.Y, q, o.Probe, density)
	o.Fresh = o.Sd / math.Sqrt2 / math.Sqrt(float64(repeats*max(positions, 1)))
	o.Gain = o.Sd / math.Sqrt2
	if o.Y < 0 {
		o.Gain = -o.Gain
	}
}

// Valued is a single reading had it been y: a slip changes what was written, not
// the instrument, whose errors go with what it showed.
func (o *Observation) Valued(y float64, q units.Quantity, density float64) Observation {
	x := *o
	x.Y = y
	x.Errors(o.By, q, density, 1, 0)
	return x
}

func indexOf(list *[]string, id string) int {
	for i, s := range *list {
		if s == id {
			return i
		}
	}
	*list = append(*list, id)
	return len(*list) - 1
}

func instrument(m *airflow.Model, file string, row *readings.Row, rd *readings.Reading) (Instrument, problem.List) {
	want := AnyOf(rd.Quantity)
	if rd.Instrument == "" {
		return want, nil
	}
	var ids []string
	for _, in := range m.Sys.Instruments {
		if in.ID != rd.Instrument {
			ids = append(ids, in.ID)
			continue
		}
		spec := Instrument{in.ID, in.Measures, in.OfReading, in.Floor}
		if of := want.Measures; (rd.Quantity.OfMotor() || in.Measures > units.Velocity) && in.Measures != of {
			return spec, problem.List{{File: file, Line: row.Line, Column: row.Columns.Instrument,
				What: fmt.Sprintf("instrument %q measures %s, but this row is a %s", in.ID, in.Measures, rd.Quantity),
				Do:   "name the instrument that was used, or correct the quantity"}}
		}
		if in.Measures == units.Velocity && rd.Quantity.Dimension() == units.Pressure {
			return spec, problem.List{{File: file, Line: row.Line, Column: row.Columns.Instrument,
				What: fmt.Sprintf("instrument %q measures velocity, but this row is a %s", in.ID, rd.Quantity),
				Do:   "name the manometer that was used, or correct the quantity"}}
		}
		return spec, nil
	}
	return want, problem.List{Unknown(file, row.Line, row.Columns.Instrument, "instrument", rd.Instrument, ids)}
}

func pointProblem(m *airflow.Model, file string, row *readings.Row, rd *readings.Reading, err error) problem.Problem {
	if !Known(m, rd.Point) {
		ids := append(portIDs(m), readings.ReservedPoints()...)
		for _, d := range m.Sys.Ducts {
			for _, t := range d.Taps {
				ids = append(ids, t.ID)
			}
		}
		return Unknown(file, row.Line, row.Columns.Point, "tap or port", rd.Point, ids)
	}
	return problem.Problem{File: file, Line: row.Line, Column: row.Columns.Quantity, What: err.Error(), Do: "correct the point or the quantity"}
}
