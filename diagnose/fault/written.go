package fault

import (
	"fmt"
	"math"
	"slices"

	"lostair/readings"
	"lostair/readings/units"
)

// PageKind is what was written down wrong.
type PageKind uint8

const (
	AsBuilt       PageKind = iota // the system differs from its file
	GateSetting                   // gates stood otherwise than written
	Instrument                    // a column is in another unit, or an instrument is off
	TapSwapped                    // two taps were taken for one another
	WrongBaseline                 // the baseline is not of this system when it was sound
)

var pageKinds = [...]string{"as-built", "gate-setting", "instrument", "tap-swapped", "baseline"}

// String is the kind's name in the outputs.
func (k PageKind) String() string { return pageKinds[k] }

// OfPage says whether a kind, by its name in the outputs, is of what was written
// down and not of a fault.
func OfPage(name string) bool { return slices.Contains(pageKinds[:], name) }

// Size is a quantity by its trade's name, SI.
type Size struct {
	Quantity  string // diameter, length, pressure, branch
	Dimension units.Dimension
	Value     float64
	Low, High float64 // 90 % interval; of what the page says both are Value
}

// Across is the Quantity of a duct's bore.
const Across = "diameter"

// Written is something that was written down and the readings contradict.
type Written struct {
	Kind        PageKind
	Where       string
	Probability float64
	Together    float64       // that it is this or one of what looks the same
	Open        readings.Open // of a gate setting: as written
	Always      bool          // of a gate setting: in every setting that was read
	Stood       bool          // of a gate setting: the gate stood open, written shut; false: shut, written open
	Says        *Size         // what the page says
	Behaves     *Size         // what the readings are like
	Factor      *Interval     // of an instrument: how many times too much it shows
	Offset      *Interval     // of an instrument: by how much, SI
	Unit        string        // of a column in another unit: as written
	Really      string        // and the unit it is in
	Twice       bool          // of a column: it was converted from that unit once too often
	Reason      string        // of a baseline: what is wrong with it; of losses: NotBaseline
	Alike       []Written     // what else was written wrong that looks the same, likeliest first
	Faults      []Candidate   // and faults that look the same
}

// NotBaseline is the Reason of a duct whose losses are held against its page.
const NotBaseline = "page"

// ByMeasure is the Reason of a size that was measured.
const ByMeasure = "measured"

// OtherAir is the Reason of a baseline that was taken in another season's air.
const OtherAir = "air"

// String says what an entry is about, to be read in a test or a log.
func (w Written) String() string { return fmt.Sprintf("%s %.3f", w.Key(), w.Probability) }

// Key names what an entry is about.
func (w *Written) Key() string {
	k := w.Kind.String() + " " + w.Where
	if w.Kind == GateSetting && !w.Always {
		k += " " + w.Open.String()
	}
	if w.Kind == Instrument && w.Offset != nil {
		k += " offset"
	}
	if w.Says != nil {
		k += " " + w.Says.Quantity
	}
	if w.Reason == OtherAir {
		k += " " + OtherAir
	}
	return k
}

// SpanOf is an interval about a value by its standard deviation.
func SpanOf(v, sd float64) *Interval {
	const z = 1.6449 // 90 %
	return &Interval{Value: v, Low: v - z*sd, High: v + z*sd}
}

// Exponential is the interval of a value whose logarithm has this one.
func Exponential(iv *Interval) *Interval {
	return &Interval{Value: math.Exp(iv.Value), Low: math.Exp(iv.Low), High: math.Exp(iv.High)}
}
