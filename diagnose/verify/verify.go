package verify

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"lostair/diagnose"
	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/doubt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/observe"
	"lostair/readings"
	"lostair/readings/problem"
	"lostair/readings/units"
)

// Options steer the check of an install against its design. The zero
// Options is the usual one.
type Options struct {
	Baselines []*readings.Survey
	Open      []readings.Open // further gate settings to be judged
	Tolerance float64         // of flows and pressures against design, as a share; 0: 0.10
	Filter    float64         // multiple of the clean drop that the system must bear; 0: 2
	Steps     func(done, of int)
}

// Usual demands. Common practice, no source.
const (
	UsualTolerance = 0.10
	UsualFilter    = 2.0
)

// A line passes if it holds with this probability, and fails if it holds with
// no more than what is left.
const DecidedAt = 0.95

// Topic is what a line of a verification is about.
type Topic uint8

const (
	PortNeed    Topic = iota // a port gets its need
	PortDesign               // a port gets its flow by design, less the tolerance
	Carrying                 // the air in a duct is fast enough to carry the dust
	TapPressure              // a pressure is that of the design, within the tolerance
	FanOnCurve               // the fan runs on its curve
	FilterRoom               // a port gets its need with the filter loaded
	NoFault                  // nothing else is wrong
)

var topics = [...]string{"port-need", "port-design", "carrying", "pressure", "fan", "filter-room", "no-fault"}

// String is the topic's name in the outputs.
func (t Topic) String() string { return topics[t] }

// Outcome is what a line says.
type Outcome string

const (
	Pass     Outcome = "pass"
	Fail     Outcome = "fail"
	NotShown Outcome = "not shown" // the readings do not decide it
)

// Line is one demand on the install and whether it is met.
type Line struct {
	Topic       Topic
	Where       string        // port, duct, tap, "fan" or ""
	Open        readings.Open // gates open
	Dimension   units.Dimension
	Value       fault.Interval // as built; 90 % interval
	Least, Most float64        // what it must lie between; Most 0: no upper end
	Design      float64        // by the system file; 0: none
	Holds       float64        // probability that the demand is met
	Outcome     Outcome
	Show        *ToRead          // of one not shown: the reading that would show it; nil: none is known
	Unread      string           // a port of whose air nothing that was read tells, so that this is not shown
	Named       *fault.Candidate // of NoFault: what the diagnosis names; nil: nothing
}

// ToRead is a reading that would decide a line.
type ToRead struct {
	Point    string
	Quantity units.Quantity
	Mouth    bool // Point is a port, and it is read at its mouth
	Open     readings.Open
	ShutToo  bool // with all gates shut as well, and Open any one gate
	Better   bool // several times, or with an instrument that errs less
}

// Report is an install held against its design. All values are SI.
type Report struct {
	System    *duct.System
	Survey    *readings.Survey // all surveys as one
	Files     []string
	Remarks   []fault.Doubt   // what of the files given is not what it should be
	Asked     []readings.Open // settings of the gates that were named
	Tolerance float64
	Filter    float64
	Density   float64 // of the air, kg/m³
	Convey    airflow.Convey
	Lines     []Line
	Carry     []CarryNeed
	Fan       FanPlace
	Sizes     []SizeNeed
	Result    *diagnose.Result // the diagnosis of the same readings
}

// CarryNeed is a gate that, opened alone, does not keep the trunk carrying.
type CarryNeed struct {
	Port     string
	Open     readings.Open // its own gates
	Slow     []SlowDuct    // where dust lies, nearest the collector last
	Together []string      // gates to open with it, the fewest; nil: no such set of up to three
	Short    []string      // ports that then get less than they need
	Clear    []string      // if Together is nil: the fewest gates that clear the trunk afterwards; nil: none do
}

// SlowDuct is a duct whose air is too slow.
type SlowDuct struct {
	Duct            string
	Velocity, Least float64 // m/s
}

// FanPlace is where on its curve the fan runs.
type FanPlace struct {
	Open     readings.Open  // the setting with the most flow of those with one port
	Flow     fault.Interval // m³/s
	Pressure fault.Interval // fan static pressure, Pa
	OfFree   float64        // share of the flow at no pressure, or of the curve's last point
	OfPeak   float64        // share of the highest pressure
	Bears    float64        // multiple of the clean drop at which the first port gets less than its need; 0: one does already, or none has a need
	First    string         // that port
}

// SizeNeed is a drop that is too small even without a fault.
type SizeNeed struct {
	Port, Duct  string
	Probability float64
	Diameter    fault.Interval // that would do, m
}

// ByDesign says that the design itself does not meet the demand, however well it
// is built.
func (l *Line) ByDesign() bool {
	return (l.Topic == PortNeed || l.Topic == Carrying) && l.Design > 0 && (l.Design < l.Least || l.Most > 0 && l.Design > l.Most)
}

// Verify holds an install against its design. An error is a problem.List if
// the surveys do not fit the system. If ctx ends first, what was known by then comes
// with its error: a Report that leaves every demand open.
func Verify(ctx context.Context, sys *duct.System, surveys []*readings.Survey, opt Options) (*Report, error) {
	v, err := Verified(ctx, sys, surveys, opt)
	if v == nil {
		return nil, err
	}
	return v.Out, err
}

func Verified(ctx context.Context, sys *duct.System, surveys []*readings.Survey, opt Options) (*Verification, error) {
	if opt.Tolerance == 0 {
		opt.Tolerance = UsualTolerance
	}
	if opt.Filter == 0 {
		opt.Filter = UsualFilter
	}
	m, err := airflow.New(sys, airflow.Options{})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", sys.File, err)
	}
	surveys, twice := observe.OnlyOnce(nil, surveys)
	survey := Together(surveys)
	baselines, asked := observe.Earlier(opt.Baselines, survey)
	opt.Baselines = baselines
	b, bases, err := bindAll(m, survey, surveys, opt)
	if err != nil {
		return nil, err
	}
	built, bores := observe.AsMeasured(sys, append(slices.Clone(opt.Baselines), survey)...)
	mb, bb := m, b
	if built != sys {
		if mb, err = airflow.New(built, airflow.Options{}); err != nil {
			return nil, fmt.Errorf("%s: %w", sys.File, err)
		}
		if bb, bases, err = bindAll(mb, survey, surveys, opt); err != nil {
			return nil, err
		}
	}
	x, err := diagnose.Examine(ctx, mb, bb, bases, fault.NewInstall, opt.Steps)
	out := &Report{System: sys, Survey: survey, Asked: opt.Open, Tolerance: opt.Tolerance, Filter: opt.Filter,
		Density: m.Air.Density, Convey: airflow.ConveyOf(sys), Remarks: append(twice, asked...)}
	for _, x := range surveys {
		out.Files = append(out.Files, x.File)
	}
	v := &Verification{written: m, all: b, opt: opt, Out: out}
	if err == nil {
		x.P.Asked = asked
		if lead := x.P.G.S.M; lead != m { // it may have a branch and a gate that the page lacks
			v.all, _ = observe.Bind(lead, survey)
		}
		v.p, v.S, out.Result = x.P, x.P.G.S, diagnose.ResultOf(x.P, built, survey, opt.Baselines)
		out.Result.Page = append(diagnose.Measured(sys, bores), out.Result.Page...)
		err = v.run(ctx)
	}
	if ctx.Err() != nil {
		out.Result, err = diagnose.Unfinished(x, sys, survey, opt.Baselines), ctx.Err()
	} else if err != nil {
		return nil, err
	}
	out.onlyWritten()
	out.leaveOpen()
	return v, err
}

// leaveOpen leaves every demand open where the readings most likely aren't what
// they say they are: then they decide none.
func (v *Report) leaveOpen() {
	if v.Result.Unlisted <= 0.5 && !v.Result.Unfinished {
		return
	}
	for i := range v.Lines {
		v.Lines[i].Outcome, v.Lines[i].Show = NotShown, nil
	}
}

// bindAll binds the surveys, each by itself for the sake of its problems, and all as one.
func bindAll(m *airflow.Model, one *readings.Survey, surveys []*readings.Survey, opt Options) (*observe.Bound, []*observe.Bound, error) {
	var bad problem.List
	for _, s := range surveys {
		_, more := doubt.BindTrusted(m, s)
		bad = append(bad, more...)
	}
	var bases []*observe.Bound
	for _, s := range opt.Baselines {
		x, more := doubt.BindTrusted(m, s)
		bases, bad = append(bases, x), append(bad, more...)
	}
	for _, o := range opt.Open {
		for _, g := range o.Gates {
			if _, ok := m.GateIndex(g); !ok {
				bad = append(bad, observe.Unknown(m.Sys.File, 0, 0, "gate", g, m.Sys.Gates()))
			}
		}
	}
	if err := bad.Err(); err != nil {
		return nil, nil, err
	}
	b, _ := observe.Bind(m, one)
	if len(b.Observation) == 0 {
		return nil, nil, problem.List{{File: one.File, What: "there is no reading in it", Do: "fill in the survey first"}}
	}
	return b, bases, nil
}

// Together makes one survey of several.
func Together(list []*readings.Survey) *readings.Survey {
	if len(list) == 1 {
		return list[0]
	}
	out := &readings.Survey{}
	var files []string
	for _, s := range list {
		files = append(files, s.File)
		first := len(out.Rows)
		out.Rows = append(out.Rows, s.Rows...)
		for _, r := range s.Readings {
			rows := make([]int, len(r.Rows))
			for i, x := range r.Rows {
				rows[i] = first + x
			}
			r.Rows = rows
			out.Readings = append(out.Readings, r)
		}
		out.Looks, out.Air = append(out.Looks, s.Looks...), append(out.Air, s.Air...)
	}
	out.File = strings.Join(files, ", ")
	return out
}

// judged turns a probability into an outcome.
func judged(holds float64) Outcome {
	switch {
	case holds >= DecidedAt:
		return Pass
	case holds <= 1-DecidedAt:
		return Fail
	}
	return NotShown
}

// mix gathers what the leading sets say of one quantity.
type mix struct {
	numeric.Mixture
	form float64 // what the model's form may be off, as a share
}

func (x *mix) take(weight float64, e fit.Estimate) {
	x.Add(weight, e.Mean, math.Hypot(e.Sd, x.form*e.Mean))
}

func (x *mix) interval() fault.Interval {
	return fault.Interval{Value: x.Quantile(0.5), Low: x.Quantile(0.05), High: x.Quantile(0.95)}
}

// between is the probability that the quantity lies there; most 0: no upper end.
func (x *mix) between(least, most float64) float64 {
	p := 1 - x.Cdf(least)
	if most != 0 {
		p -= 1 - x.Cdf(most)
	}
	return numeric.ClampProbability(p)
}

// lineOf judges a quantity.
func lineOf(t Topic, where string, open readings.Open, d units.Dimension, x *mix, least, most float64) Line {
	l := Line{Topic: t, Where: where, Open: open, Dimension: d, Value: x.interval(), Least: least, Most: most}
	l.Holds = x.between(least, most)
	l.Outcome = judged(l.Holds)
	return l
}
