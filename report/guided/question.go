package guided

import (
	"fmt"
	"slices"
	"strings"

	"lostair/diagnose"
	"lostair/diagnose/duct"
	"lostair/diagnose/round"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report"
	"lostair/report/figure"
	"lostair/report/show"
)

// Gates says how the gates are to stand, and what to move for that.
func Gates(q *round.Question) string {
	if q.Row.Look != "" && q.Row.Look != readings.Hisses {
		return ""
	}
	open := Open(q.Row.Open.String())
	hoses := ""
	if len(q.Hook) > 0 {
		hoses = "; put the hose of " + show.Listed(q.Hook) + " back on: " + show.UnhookCare
	}
	if len(q.Unhook) > 0 {
		hoses += "; unhook the hose from " + show.Listed(q.Unhook) + ": " + show.UnhookCare
	}
	off := slices.DeleteFunc(slices.Clone(q.Row.HoseOff), func(p string) bool { return slices.Contains(q.Unhook, p) })
	if len(off) > 0 {
		hoses += "; the hose of " + show.Listed(off) + " stays off"
	}
	if !q.Moves {
		return "Gates as they are: " + open + hoses + "."
	}
	var moves []string
	if len(q.Open) > 0 {
		moves = append(moves, "open "+show.Listed(q.Open))
	}
	if len(q.Shut) > 0 {
		moves = append(moves, "shut "+show.Listed(q.Shut))
	}
	whole := q.Row.Open.All || len(q.Row.Open.Gates) == 0
	if len(moves) == 0 || whole && len(q.Open)+len(q.Shut) > mostNamed {
		return "Gates: " + open + hoses + "."
	}
	return fmt.Sprintf("Gates: %s (%s)%s.", strings.Join(moves, ", "), open, hoses)
}

// mostNamed is how many gates are named one by one where all of them end alike.
const mostNamed = 3

// Open says which gates are open.
func Open(open string) string {
	switch open {
	case "none":
		return "all gates shut"
	case "all":
		return "all gates open"
	}
	return "only " + strings.ReplaceAll(open, "+", " and ") + " open"
}

// Asked says what to read where, or what to look at.
func Asked(sys *duct.System, q *round.Question) string {
	if q.Row.Look != "" {
		return show.LookQuestion(q.Row.Look, q.Row.Point)
	}
	return fmt.Sprintf("Read the %s at %s.", Quantity(q.Row.Quantity), where(sys, q))
}

// Quantity is what is read, as people say it.
func Quantity(q units.Quantity) string {
	switch q {
	case units.MeanVelocity:
		return "air speed"
	case units.CentreVelocity:
		return "air speed in the middle"
	case units.VelocityPressure:
		return "velocity pressure in the middle"
	}
	return strings.ReplaceAll(q.String(), "_", " ")
}

// where says where the point of a question is.
func where(sys *duct.System, q *round.Question) string {
	if q.NewTap != nil {
		return fmt.Sprintf("a new hole, %s, in %s, %s from its far end", q.Row.Point, q.NewTap.Duct, units.Format(q.NewTap.At, units.Length, sys.Units))
	}
	return place(sys, q.Row.Point, q.Row.HoseOff)
}

// place says where a point is.
func place(sys *duct.System, point string, hoseOff []string) string {
	if i, t, ok := sys.TapAt(point); ok {
		d := &sys.Ducts[i]
		return fmt.Sprintf("the hole %s, on %s, %s from its far end", point, d.ID, units.Format(d.Taps[t].Distance, units.Length, sys.Units))
	}
	if i, ok := sys.PortNamed(point); ok {
		if mouth := figure.Mouth(sys, i, slices.Contains(hoseOff, point), sys.Units); mouth != "" {
			return point + ", in " + mouth
		}
		return fmt.Sprintf("the mouth of %s, where %s begins", point, sys.Ducts[sys.Ports[i].Duct].ID)
	}
	switch point {
	case readings.CollectorInlet:
		return "the collector's inlet"
	case readings.FanInlet:
		return "the pipe into the fan"
	case readings.Filter:
		return "the filter: from its dirty side to the room"
	case readings.Bin:
		return "the dust bin"
	}
	return point
}

// Range is what nine in ten sound systems show; "" of a look.
func Range(q *round.Question, u units.System) string {
	if !q.HasSound {
		return ""
	}
	d := q.Row.Quantity.Dimension()
	return span(q.Sound.Low, q.Sound.High, d, u)
}

func span(low, high float64, d units.Dimension, u units.System) string {
	if low < 0 && high <= 0 { // smaller suction first
		low, high = high, low
	}
	return show.SpanIn(low, high, d, u)
}

// Fast is whether the air is too fast for a vane.
func Fast(q *round.Question) bool {
	return q.HasSound && diagnose.TooFast(q.Row.Quantity, q.Sound.Value)
}

// SaysLittle is said of a range that holds nearly anything; "" of any other.
func SaysLittle(sys *duct.System, q *round.Question) string {
	if !q.HasSound || !report.SaysLittle(sys, q.Row.Quantity, q.Sound) {
		return ""
	}
	return show.WideWords
}

// HowTo says how to hold the instrument, and what to mind.
func HowTo(sys *duct.System, q *round.Question) (how []string, mind string) {
	if q.Row.Look != "" {
		return looking(q.Row.Look)
	}
	switch q.Row.Quantity.Dimension() {
	case units.Pressure:
		how = []string{"Set the gauge to zero in still air before each round.",
			"Hold the tube flush with the wall, square to it, over the hole; seal around it with a finger or putty.",
			"Write suction with a minus if you are asked for static pressure. Wait until it stands still, and take the middle of its swing."}
		if q.Row.Quantity == units.PressureDrop {
			how[1] = "One tube on each side of it: the gauge's plus side upstream."
		}
		mind = "Keep loose sleeves and hair away from open ducts. To drill a new hole: fan off and locked off, no dust in the duct, eyes covered, no sparks near fine dust."
	case units.Velocity, units.Flow:
		how = []string{"Hold the vane square to the air, in the plane of the opening.",
			"Move it slowly over the whole opening for ten seconds and take the mean.", "Keep your body out of the way of the air."}
		if i, ok := sys.PortNamed(q.Row.Point); ok && len(q.Row.HoseOff) == 0 {
			if tip := figure.Unhooked(sys, i, sys.Units); tip != "" {
				how = append(how, show.Title(tip)+".")
			} else {
				how = append(how, "If you unhook the machine and read the open end of its duct, write hose off.")
			}
		}
		mind = "The machine is off and unplugged before you reach near its cutter. A wide open hose pulls: keep fingers, sleeves and rags away."
	}
	return how, mind
}

// looking says how to take a look.
func looking(k readings.Look) (how []string, mind string) {
	how = []string{"Say yes or no; if you can't say, skip it."}
	switch k {
	case readings.Hisses, readings.Clings:
		how = append(how, "A strip of thin paper shows air that no ear hears. Never a flame or smoke.")
		mind = "The fan runs: keep fingers, sleeves and rags away from openings; stand safely on a ladder."
	case readings.InsideDiameter:
		how = []string{"Measure from wall to wall through the middle, twice, crosswise, and take the mean; of a ribbed hose between the ribs' inner edges.",
			"Around its outside is no measure of it: a wall and ribs lie between."}
		fallthrough
	case readings.ClearInside, readings.Sealed, readings.Clean:
		mind = "Fan off and locked off, wheel at rest, before you open anything; a respirator that fits, no sparks near fine dust."
	case readings.TurnsRightWay:
		mind = "A short start only, guards on, nobody near; leave motor and supply to a licensed electrician."
	case readings.OpensFully, readings.ShutsFully:
		mind = "The machine is off; keep fingers out of the slot."
	}
	return how, mind
}
