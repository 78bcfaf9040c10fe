package diagnose

import (
	"context"
	"fmt"
	"math"
	"strings"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/readings"
	"lostair/readings/problem"
	"lostair/readings/units"
)

// VerifyOptions steer the check of an install against its design. The zero
// VerifyOptions is the usual one.
type VerifyOptions struct {
	Baselines []*readings.Survey
	Open      []readings.Open // further gate settings to be judged
	Tolerance float64         // of flows and pressures against design, as a share; 0: 0.10
	Filter    float64         // multiple of the clean drop that the system must bear; 0: 2
	Steps     func(done, of int)
}

// Usual demands. Common practice, no source.
const (
	usualTolerance = 0.10
	usualFilter    = 2.0
)

// A line passes if it holds with this probability, and fails if it holds with
// no more than what is left.
const decidedAt = 0.95

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
	Value       Interval // as built; 90 % interval
	Least, Most float64  // what it must lie between; Most 0: no upper end
	Design      float64  // by the system file; 0: none
	Holds       float64  // probability that the demand is met
	Outcome     Outcome
	Show        string // of one not shown: the reading that would show it
	Remark      string
}

// Verified is an install held against its design. All values are SI.
type Verified struct {
	System    *duct.System
	Survey    *readings.Survey // all surveys as one
	Files     []string
	Remarks   []string        // what of the files given is not what it should be
	Asked     []readings.Open // settings of the gates that were named
	Tolerance float64
	Filter    float64
	Density   float64 // of the air, kg/m³
	Convey    Convey
	Lines     []Line
	Carry     []CarryNeed
	Fan       FanPlace
	Sizes     []SizeNeed
	Result    *Result // the diagnosis of the same readings
}

// Convey is the slowest air that still carries the dust, and who says so.
type Convey struct {
	Branch, Main float64 // m/s
	Source       string
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
	Open     readings.Open // the setting with the most flow of those with one port
	Flow     Interval      // m³/s
	Pressure Interval      // fan static pressure, Pa
	OfFree   float64       // share of the flow at no pressure, or of the curve's last point
	OfPeak   float64       // share of the highest pressure
	Bears    float64       // multiple of the clean drop at which the first port gets less than its need; 0: one does already, or none has a need
	First    string        // that port
}

// SizeNeed is a drop that is too small even without a fault.
type SizeNeed struct {
	Port, Duct  string
	Probability float64
	Diameter    Interval // that would do, m
}

// Verify holds an install against its design. An error is a problem.List if
// the surveys do not fit the system.
func Verify(ctx context.Context, sys *duct.System, surveys []*readings.Survey, opt VerifyOptions) (*Verified, error) {
	v, err := verify(ctx, sys, surveys, opt)
	if err != nil {
		return nil, err
	}
	return v.out, nil
}

func verify(ctx context.Context, sys *duct.System, surveys []*readings.Survey, opt VerifyOptions) (*verification, error) {
	if opt.Tolerance == 0 {
		opt.Tolerance = usualTolerance
	}
	if opt.Filter == 0 {
		opt.Filter = usualFilter
	}
	m, err := airflow.New(sys, airflow.Options{})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", sys.File, err)
	}
	surveys, twice := onlyOnce(nil, surveys)
	survey := together(surveys)
	baselines, asked := earlier(opt.Baselines, survey)
	opt.Baselines = baselines
	b, bases, err := bindAll(m, survey, surveys, opt)
	if err != nil {
		return nil, err
	}
	x, err := examine(ctx, m, b, bases, opt.Steps)
	if err != nil {
		return nil, err
	}
	x.p.asked = asked
	v := &verification{p: x.p, s: x.p.g.s, all: b, opt: opt, out: &Verified{System: sys, Survey: survey, Asked: opt.Open, Tolerance: opt.Tolerance, Filter: opt.Filter,
		Density: m.Air.Density, Convey: conveyOf(sys), Result: x.p.result(sys, survey, opt.Baselines)}}
	for _, x := range surveys {
		v.out.Files = append(v.out.Files, x.File)
	}
	v.out.Remarks = append(twice, asked...)
	if err := v.run(ctx); err != nil {
		return nil, err
	}
	v.out.leaveOpen()
	return v, nil
}

// leaveOpen leaves every demand open where the readings most likely aren't what
// they say they are: then they decide none.
func (v *Verified) leaveOpen() {
	if v.Result.Unlisted <= 0.5 {
		return
	}
	for i := range v.Lines {
		v.Lines[i].Outcome, v.Lines[i].Show = NotShown, ""
	}
}

// bindAll binds the surveys, each by itself for the sake of its problems, and all as one.
func bindAll(m *airflow.Model, one *readings.Survey, surveys []*readings.Survey, opt VerifyOptions) (*bound, []*bound, error) {
	var bad problem.List
	for _, s := range surveys {
		_, more := bindTrusted(m, s)
		bad = append(bad, more...)
	}
	var bases []*bound
	for _, s := range opt.Baselines {
		x, more := bindTrusted(m, s)
		bases, bad = append(bases, x), append(bad, more...)
	}
	for _, o := range opt.Open {
		for _, g := range o.Gates {
			if _, ok := m.GateIndex(g); !ok {
				bad = append(bad, unknown(m.Sys.File, 0, 0, "gate", g, m.Sys.Gates()))
			}
		}
	}
	if err := bad.Err(); err != nil {
		return nil, nil, err
	}
	b, _ := bind(m, one)
	if len(b.obs) == 0 {
		return nil, nil, problem.List{{File: one.File, What: "there is no reading in it", Do: "fill in the survey first"}}
	}
	return b, bases, nil
}

// together makes one survey of several.
func together(list []*readings.Survey) *readings.Survey {
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
	}
	out.File = strings.Join(files, ", ")
	return out
}

// conveyOf is the system's conveying velocities, or the usual ones.
func conveyOf(sys *duct.System) Convey {
	c := Convey{Branch: sys.Limits.ConveyBranch, Main: sys.Limits.ConveyMain, Source: "by the system file"}
	if c.Branch > 0 && c.Main > 0 {
		return c
	}
	c.Source = conveySource
	if c.Branch <= 0 {
		c.Branch = usualConvey
	}
	if c.Main <= 0 {
		c.Main = usualConvey
	}
	return c
}

// usualConvey is the velocity that carries dust with wood shavings, m/s.
const (
	usualConvey  = 20.0
	conveySource = "the system file states none; 20 m/s stands in: about what HSG258 gives for dust with wood shavings (value from memory), and the upper end of the 2500 to 4000 fpm of OSHA's woodworking guidance"
)

// judged turns a probability into an outcome.
func judged(holds float64) Outcome {
	switch {
	case holds >= decidedAt:
		return Pass
	case holds <= 1-decidedAt:
		return Fail
	}
	return NotShown
}

// mix gathers what the leading sets say of one quantity.
type mix struct {
	normalMix
	form float64 // what the model's form may be off, as a share
}

func (x *mix) take(weight float64, e estimate) {
	x.add(weight, e.mean, math.Hypot(e.sd, x.form*e.mean))
}

func (x *mix) interval() Interval {
	return Interval{x.quantile(0.5), x.quantile(0.05), x.quantile(0.95)}
}

// between is the probability that the quantity lies there; most 0: no upper end.
func (x *mix) between(least, most float64) float64 {
	p := 1 - x.cdf(least)
	if most != 0 {
		p -= 1 - x.cdf(most)
	}
	return clampP(p)
}

// lineOf judges a quantity.
func lineOf(t Topic, where string, open readings.Open, d units.Dimension, x *mix, least, most float64) Line {
	l := Line{Topic: t, Where: where, Open: open, Dimension: d, Value: x.interval(), Least: least, Most: most}
	l.Holds = x.between(least, most)
	l.Outcome = judged(l.Holds)
	return l
}
