package round

import (
	"slices"
	"strings"

	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/next"
	"lostair/diagnose/plan"
	"lostair/readings"
	"lostair/readings/units"
)

// Question is a reading or a look that is asked for.
type Question struct {
	Row      readings.Row   // what will be written; its value is missing
	Open     []string       // gates to open, as they stand
	Shut     []string       // gates to shut
	Unhook   []string       // ports whose hose is to be taken off
	Hook     []string       // ports whose hose is to be put back
	Moves    bool           // gates or hoses are to be changed, or nobody knows how they stand
	Sound    fault.Interval // what nine in ten sound systems show, SI; nothing of a look
	HasSound bool
	For      Purpose            // of the complaint's own questions: what it shows
	Tells    []next.Explanation // of the diagnosis' questions: what it sets apart, as in next.Step
	Minutes  float64
	Again    bool         // it stands in the survey already
	NewTap   *plan.NewTap // the hole to drill first; nil: the point is there
	Instead  string       // key of the question in whose place it is asked; "": none
	pays     bool         // of the diagnosis' questions: it is worth its minutes
}

// Purpose is what an opening question shows.
type Purpose uint8

// The purposes.
const (
	Planned         Purpose = iota // much for the time it takes
	AirOfPort                      // how much air the port gets
	SuctionAtPort                  // whether the suction reaches it
	CollectorShut                  // what the collector makes with all gates shut
	CollectorLoaded                // what it makes under load
	FilterDrop                     // whether the filter is loaded
	SpokeForIt                     // it spoke for what was mended
)

// Key tells questions apart: the same words ask the same.
func (q *Question) Key() string { return KeyOf(&q.Row) }

// KeyOf is the key of the question that a row answers.
func KeyOf(r *readings.Row) string {
	open := r.Open.String()
	if r.Look != "" {
		open = ""
	}
	return strings.Join([]string{open, r.Point, r.What(), strings.Join(r.HoseOff, "+")}, "|")
}

// moves fills in which gates are to be moved from how they stand; last is the row
// taken last, nil: none.
func (q *Question) moves(sys *duct.System, last *readings.Row) {
	if q.Row.Look != "" && q.Row.Look != readings.Hisses {
		return
	}
	q.Moves = last == nil || last.Open.String() != q.Row.Open.String() || !slices.Equal(last.HoseOff, q.Row.HoseOff)
	if q.Unhook = q.Row.HoseOff; last == nil {
		return
	}
	without := func(all, some []string) []string {
		return slices.DeleteFunc(slices.Clone(all), func(p string) bool { return slices.Contains(some, p) })
	}
	q.Unhook, q.Hook = without(q.Row.HoseOff, last.HoseOff), without(last.HoseOff, q.Row.HoseOff)
	for _, g := range sys.Gates() {
		was, is := last.Open.Opens(g), q.Row.Open.Opens(g)
		switch {
		case is && !was:
			q.Open = append(q.Open, g)
		case was && !is:
			q.Shut = append(q.Shut, g)
		}
	}
}

// instrumentFor is the first instrument of the system that reads a quantity; "":
// it names none.
func instrumentFor(sys *duct.System, q units.Quantity) string {
	dim := q.Dimension()
	if dim == units.Flow {
		dim = units.Velocity
	}
	for _, x := range sys.Instruments {
		if x.Measures == dim {
			return x.ID
		}
	}
	return ""
}
