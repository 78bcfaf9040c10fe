package finding

import (
	"fmt"
	"math"
	"strings"

	"lostair/diagnose/fault"
	"lostair/readings/units"
	"lostair/report/show"
)

// Measure is a quantity of the system.
type Measure struct {
	Quantity string  `json:"quantity"` // diameter, length, branch, losses as a multiple of those at the baseline, or pressure of the fan as a share of its curve
	Value    float64 `json:"value"`
	Unit     string  `json:"unit"`
}

func (a Measure) String() string { return fmt.Sprintf("%g %s", a.Value, a.Unit) }

// Measure puts a quantity of the system into the reader's units.
func (c Words) Measure(a fault.Size) Measure {
	return Measure{Quantity: a.Quantity, Value: show.Value(a.Value, a.Dimension, c.U), Unit: a.Dimension.Symbol(c.U)}
}

// Mistake says in a sentence, without its full stop, what was written down wrong.
func (c Words) Mistake(w fault.Written) string {
	switch w.Kind {
	case fault.GateSetting:
		return gateMistake(w)
	case fault.Instrument:
		return c.instrumentMistake(w)
	case fault.TapSwapped:
		a, b, _ := strings.Cut(w.Where, "+")
		return fmt.Sprintf("taps %s and %s were taken for one another", a, b)
	case fault.WrongBaseline:
		return baselineMistake(w)
	}
	return c.builtMistake(w)
}

func gateMistake(w fault.Written) string {
	how, said := "open", "shut"
	if !w.Stood {
		how, said = said, how
	}
	if w.Always {
		return fmt.Sprintf("gate %s stood %s all the time, also where it is written as %s", w.Where, how, said)
	}
	return fmt.Sprintf("gate %s stood %s in what is written as read with %s", w.Where, how, gatesOpen(w.Open.String()))
}

// gatesOpen says which gates were open.
func gatesOpen(open string) string {
	switch open {
	case "all":
		return "all gates open"
	case "none":
		return "all gates shut"
	}
	return strings.ReplaceAll(open, "+", " and ") + " open"
}

func (c Words) instrumentMistake(w fault.Written) string {
	who := "instrument " + w.Where
	if p, ok := plurals[w.Where]; ok {
		who = "what read the " + p
	}
	switch {
	case w.Twice:
		return fmt.Sprintf("the values of the %s column written in %s were converted from %s once too often", w.Where, w.Unit, w.Really)
	case w.Unit != "" && w.Really != "":
		return fmt.Sprintf("the %s column says %s, but the values are in %s", w.Where, w.Unit, w.Really)
	case w.Factor != nil && w.Factor.Value == -1:
		return fmt.Sprintf("the %s column has the other sign: suction is a negative static_pressure, or a positive suction", w.Where)
	case w.Offset != nil:
		iv := show.IntervalOf(*w.Offset, units.Pressure, c.U)
		if iv == nil {
			return who + " has its zero off"
		}
		return fmt.Sprintf("%s has its zero off by %s %s, in all its readings", who, signed(*iv), iv.Unit)
	}
	share := 100 * (w.Factor.Value - 1)
	much := "much"
	if share < 0 {
		much = "little"
	}
	return fmt.Sprintf("%s shows %.0f %% too %s, in all its readings", who, math.Abs(share), much)
}

// plurals are what instruments that the readings don't name have read.
var plurals = map[string]string{"pressure": "pressures", "velocity": "velocities", "flow": "flows"}

// signed is an amount with its sign, to the digits that its interval bears out.
func signed(iv show.Interval) string {
	if iv.Value > 0 {
		return "+" + iv.Mid()
	}
	return iv.Mid()
}

func baselineMistake(w fault.Written) string {
	switch w.Reason {
	case "same":
		return fmt.Sprintf("the baseline %s holds these same readings, value for value", w.Where)
	case fault.OtherAir:
		return fmt.Sprintf("the baseline %s was taken in colder or warmer air", w.Where)
	case "faulty":
		return fmt.Sprintf("the baseline %s was taken when the fault was there already", w.Where)
	}
	return fmt.Sprintf("the baseline %s is of another system, or of this one before it was changed", w.Where)
}

func (c Words) builtMistake(w fault.Written) string {
	b := c.Measure(*w.Behaves)
	switch b.Quantity {
	case "branch":
		if w.Stood {
			return fmt.Sprintf("a branch of about %s joins at %s that the system file lacks, open when all gates are", b, w.Where)
		}
		return fmt.Sprintf("a branch of about %s joins at %s that the system file lacks, always open", b, w.Where)
	case "pressure":
		return fmt.Sprintf("the fan makes %.0f %% of the pressure of the curve in the system file", b.Value)
	case "losses":
		if w.Reason == fault.NotBaseline {
			if b.Value < 1 {
				return fmt.Sprintf("%s loses %s what it should by the system file: it is shorter, or has fewer or wider bends", w.Where, times(b.Value))
			}
			return fmt.Sprintf("%s loses %s what it should by the system file: it is longer, has more or tighter bends, or is rougher", w.Where, times(b.Value))
		}
		if w.Where == fault.FilterPlace {
			return fmt.Sprintf("the filter drops %s what it did at the baseline", times(b.Value))
		}
		return fmt.Sprintf("%s loses %s what it lost at the baseline", w.Where, times(b.Value))
	case "length":
		return fmt.Sprintf("%s behaves like about %s long, the system file says %s", w.Where, b, c.Measure(*w.Says))
	}
	how := "behaves like"
	if w.Reason == fault.ByMeasure {
		how = "measures"
	}
	return fmt.Sprintf("%s %s %s, the system file says %s", w.Where, how, b, c.Measure(*w.Says))
}

// Look is what settles in a minute whether something was written down wrong.
func Look(w fault.Written) string {
	switch w.Kind {
	case fault.GateSetting:
		if w.Always {
			return "look whether gate " + w.Where + " opens and shuts fully, and stays so"
		}
		return fmt.Sprintf("set the gates as written again (%s), see that %s is as it should be, and read one of those rows again", gatesOpen(w.Open.String()), w.Where)
	case fault.Instrument:
		if w.Offset != nil {
			return "look at its zero with both ends open to the room"
		}
		if w.Unit != "" {
			return "look at the unit on the instrument's display"
		}
		return "hold it against another instrument, and look at its zero"
	case fault.TapSwapped:
		return "look at the labels of the two taps"
	case fault.WrongBaseline:
		if w.Reason == fault.OtherAir {
			return "write down the temperature in the shop, then and now"
		}
		return "look at the date of the baseline, and what was known of the system then"
	}
	switch w.Behaves.Quantity {
	case "branch":
		return "walk along " + w.Where + " and look for a branch that the system file lacks"
	case "pressure":
		return "look at the fan's plate, and whether the curve is that of this fan and speed"
	case "losses":
		if w.Reason == fault.NotBaseline {
			return "hold the system file against " + w.Where + ": measure its length, count its bends, see how its hose lies"
		}
		if w.Where == fault.FilterPlace {
			return "clean the filter and read its drop again"
		}
		return "see what was changed at " + w.Where + " since the baseline: a hose laid otherwise, a bend put in or taken out"
	case "length":
		return "measure the length of " + w.Where
	}
	if w.Reason == fault.ByMeasure {
		return "correct its diameter in the system file, or put in the size that it says; all here is worked out with the measured one"
	}
	return "measure across " + w.Where + ", and add a row inside_diameter"
}

// times is a factor in words: near 1 as a share more or less, and of about 1 as that.
func times(v float64) string {
	switch {
	case math.Abs(v-1) >= 0.25:
		return fmt.Sprintf("%.2g times", v)
	case v >= 1.05:
		return fmt.Sprintf("about %.0f %% more than", 100*(v-1))
	case v <= 0.95:
		return fmt.Sprintf("about %.0f %% less than", 100*(1-v))
	case v < 1:
		return "slightly less than"
	}
	return "slightly more than"
}
