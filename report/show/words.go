package show

import (
	"fmt"
	"strings"

	"lostair/diagnose/fault"
)

// KindShort is a kind as it stands on a drawing.
func KindShort(kind string) string { return strings.ReplaceAll(kind, "-", " ") }

// UnhookCare is said where a hose or a machine is to be unhooked.
const UnhookCare = "fan off first, machine locked off"

// NothingFits is said of a wrong row in whose place no sensible value fits.
const NothingFits = "nothing near it fits"

// Guarded is text that a spreadsheet won't run as a formula.
func Guarded(s string) string {
	if s != "" && strings.ContainsRune("=+-@\t\r", rune(s[0])) {
		return "'" + s
	}
	return s
}

// GetsWords begins a sentence on what ports get.
func GetsWords(ports []string) string {
	if len(ports) == 1 {
		return ports[0] + " gets"
	}
	return Few(ports) + " get"
}

// words is what is said of a kind of fault.
type words struct {
	Name   string // a noun phrase; %s: the place
	Many   string // several of them
	HowBad string // the severity; %s: the value with its unit
	Do     string // what to do where the diagnosis names no better fix
}

// kindTable holds the words of each kind. What to do is common practice, no
// source.
var kindTable = [...]words{
	fault.Leak: {"a leak in duct %s", "leaks", "an opening of %s in all",
		"Find the opening and close it. With the fan running hold a strip of tissue along the joints and seams, " +
			"the joint at the downstream end included: it is drawn in where air is lost. Then tape or seal it."},
	fault.Blockage: {"a blockage in duct %s", "blockages", "%s of the bore is closed",
		"Look into the hood and the hose first, then into the bends. With the fan off and locked off, open the run and clear it."},
	fault.GateRestricted: {"gate %s not fully open", "half-open gates", "the gate is %s open",
		"Pull the gate to its stop and look at the slide: dust packed in its slot keeps it short. Clear the slot."},
	fault.GateLeaking: {"gate %s leaking when shut", "leaking gates", "an opening of %s is left when it is shut",
		"Push the gate to its stop and look at the slide: clear dust from its slot, and renew a worn slide or seal."},
	fault.FilterLoaded: {"a loaded filter", "loaded filters", "it costs %s its clean drop",
		"Clean the filter the way its maker says, and empty its bag or drawer. If the drop stays, renew it."},
	fault.FanWeak: {"a fan that runs slow", "slow fans", "it runs at %s of its speed",
		"Check the direction of rotation, a slipping belt and a caked wheel, fan off and locked off. " +
			"Leave supply and motor to a licensed electrician."},
	fault.Undersized: {"duct %s too narrow", "narrow ducts", "%s would do",
		"Fit a duct of the diameter named, or shorten the hose and take out bends."},
	fault.ReadingWrong: {"a wrong reading in %s", "wrong readings", "%s would fit",
		"Take this reading again, or correct the row."},
}

const BinWords = "Check the bin's lid, its seal and the hose to it. With the fan running press the lid down and read again."

// KindWords are the words of a kind of fault.
func KindWords(k fault.Kind) words { return kindTable[k] }

// Named is a fault as a noun phrase, with its place if that says more.
func Named(k fault.Kind, where string) string {
	n := KindWords(k).Name
	if !strings.Contains(n, "%s") {
		return n
	}
	return fmt.Sprintf(n, where)
}
