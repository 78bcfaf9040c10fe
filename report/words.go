package report

import (
	"fmt"
	"math"

	"lostair/diagnose"
	"lostair/readings"
	"lostair/readings/units"
)

// words is what is said of a kind of fault.
type words struct {
	name   string // a noun phrase; %s: the place
	howBad string // the severity; %s: the value with its unit
	do     string // what to do where the diagnosis names no better fix
}

// kindTable holds the words of each kind. What to do is common practice, no
// source.
var kindTable = [...]words{
	diagnose.Leak: {"a leak in duct %s", "an opening of %s in all",
		"Find the opening and close it. With the fan running hold a strip of tissue along the joints and seams, " +
			"the joint at the downstream end included: it is drawn in where air is lost. Then tape or seal it."},
	diagnose.Blockage: {"a blockage in duct %s", "%s of the bore is closed",
		"Look into the hood and the hose first, then into the bends. With the fan off and locked off, open the run and clear it."},
	diagnose.GateRestricted: {"gate %s not fully open", "the gate is %s open",
		"Pull the gate to its stop and look at the slide: dust packed in its slot keeps it short. Clear the slot."},
	diagnose.GateLeaking: {"gate %s leaking when shut", "an opening of %s is left when it is shut",
		"Push the gate to its stop and look at the slide: clear dust from its slot, and renew a worn slide or seal."},
	diagnose.FilterLoaded: {"a loaded filter", "it costs %s its clean drop",
		"Clean the filter the way its maker says, and empty its bag or drawer. If the drop stays, renew it."},
	diagnose.FanWeak: {"a fan that runs slow", "it runs at %s of its speed",
		"Check the direction of rotation, a slipping belt and a caked wheel, fan off and locked off. " +
			"Leave supply and motor to a licensed electrician."},
	diagnose.Undersized: {"duct %s too narrow", "%s would do",
		"Fit a duct of the diameter named, or shorten the hose and take out bends."},
	diagnose.ReadingWrong: {"a wrong reading in %s", "%s would fit",
		"Take this reading again, or correct the row."},
}

const binWords = "Check the bin's lid, its seal and the hose to it. With the fan running press the lid down and read again."

func kindWords(k diagnose.Kind) words { return kindTable[k] }

// name is a fault as a noun phrase, with its place.
func (c converter) name(k diagnose.Kind, where string) string {
	if k == diagnose.Leak && where == readings.Bin {
		return "a leak at the dust bin"
	}
	if k == diagnose.Blockage && c.isPort(where) {
		return "a blockage at the hood of " + where
	}
	n := kindWords(k).name
	if k == diagnose.FilterLoaded || k == diagnose.FanWeak {
		return n
	}
	return fmt.Sprintf(n, where)
}

func (c converter) isPort(id string) bool {
	if c.d.System == nil {
		return false
	}
	_, ok := c.d.System.PortNamed(id)
	return ok
}

// remedy is what to do about a fault for which the diagnosis has no fix.
func remedy(f diagnose.Fault) string {
	if f.Kind == diagnose.Leak && f.Where == readings.Bin {
		return binWords
	}
	return kindWords(f.Kind).do
}

// howBad says a severity in words.
func (c converter) howBad(f diagnose.Fault, s Interval) string {
	text := fmt.Sprintf(kindWords(f.Kind).howBad, inWord(s.mid(), s.Unit))
	if f.Dimension == units.Area {
		hole := Interval{Value: c.across(f.Severity.Value), Low: c.across(f.Severity.Low), High: c.across(f.Severity.High)}
		text += ", as much as a round hole " + hole.mid() + " " + units.Diameter.Symbol(c.u) + " across"
	}
	return text
}

// across is the diameter of a round hole of an area.
func (c converter) across(area float64) float64 {
	return units.Diameter.FromSI(c.u, 2*math.Sqrt(max(area, 0)/math.Pi))
}

// chance says a probability in words. The scale is ours.
func chance(p float64) string {
	for _, s := range [...]struct {
		least float64
		word  string
	}{{0.98, "almost certain"}, {0.9, "very likely"}, {0.7, "likely"}, {0.5, "more likely than not"}, {0.25, "possible"}, {0.05, "unlikely"}} {
		if p >= s.least {
			return s.word
		}
	}
	return "very unlikely"
}

// percent shows a probability; it never claims 0 or 100.
func percent(p float64) string {
	switch {
	case p > 0.99:
		return "over 99 %"
	case p < 0.01:
		return "under 1 %"
	}
	return fmt.Sprintf("%.0f %%", 100*p)
}

// plural is a number of things, of which there may be one.
func plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
