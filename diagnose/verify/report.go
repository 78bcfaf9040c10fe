package verify

import (
	"lostair/diagnose"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/handbook"
	"lostair/readings"
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
	Convey    handbook.Convey
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
