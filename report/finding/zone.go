package finding

import (
	"fmt"
	"slices"
	"strings"

	"lostair/diagnose"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/readings"
)

// mostNamed is how many places of one sort a zone names; the rest are counted.
const mostNamed = 8

// zone says in words where a group of faults is to be searched: the places of
// its members, each once, and nothing else.
func zone(sys *duct.System, members []fault.Candidate) string {
	var z places
	for _, c := range members {
		z.add(sys, c)
	}
	return z.words()
}

// Zone is where a fault and what looks the same are to be searched; "" of
// what is no fault of the shop.
func (c Words) Zone(f diagnose.Fault) string {
	if c.D.System == nil || !diagnose.OfSystem(f) {
		return ""
	}
	return zone(c.D.System, append([]fault.Candidate{f.Candidate}, f.Alike...))
}

// places are ids by sort.
type places struct {
	gates, hoods, ducts []string
	parts               []string    // of the collector
	first               []*[]string // the sorts there are, in the order in which they were added
}

func (z *places) add(sys *duct.System, s fault.Candidate) {
	_, isPort := sys.PortNamed(s.Where)
	switch {
	case s.Kind == fault.GateRestricted || s.Kind == fault.GateLeaking:
		z.put(&z.gates, s.Where)
	case s.Kind == fault.FilterLoaded:
		z.put(&z.parts, "the filter")
	case s.Kind == fault.FanWeak:
		z.put(&z.parts, "the fan")
	case s.Where == readings.Bin:
		z.put(&z.parts, "the bin")
	case isPort:
		z.put(&z.hoods, s.Where)
	case s.Kind == fault.Leak || s.Kind == fault.Blockage || s.Kind == fault.Undersized || s.Kind == fault.Altered:
		z.put(&z.ducts, s.Where)
	default:
		fault.NoCase("zone", s.Kind)
	}
}

func (z *places) put(sort *[]string, x string) {
	if len(*sort) == 0 {
		z.first = append(z.first, sort)
	}
	*sort = addPlace(*sort, x)
}

func addPlace(list []string, x string) []string {
	if slices.Contains(list, x) {
		return list
	}
	return append(list, x)
}

// words names the places, the sort first whose place was added first: the likeliest.
func (z *places) words() string {
	say := map[*[]string]string{}
	if len(z.parts) > 0 {
		say[&z.parts] = "at " + joined(z.parts)
	}
	if len(z.gates) > 0 {
		say[&z.gates] = "at " + counted("the gate", z.gates)
	}
	if len(z.hoods) > 0 {
		say[&z.hoods] = "at " + counted("the hood of", z.hoods)
	}
	if len(z.ducts) > 0 {
		say[&z.ducts] = "along " + joined(z.ducts)
	}
	var out []string
	for _, sort := range z.first {
		out = append(out, say[sort])
	}
	return joined(out)
}

// counted names things of one sort.
func counted(what string, ids []string) string {
	if len(ids) > 1 && what == "the gate" {
		what = "the gates"
	}
	if len(ids) > 1 && what == "the hood of" {
		what = "the hoods of"
	}
	return what + " " + joined(ids)
}

// joined is "a, b and c", of many the first.
func joined(ids []string) string { return joinedBy(ids, "and") }

func joinedBy(ids []string, word string) string {
	if n := len(ids); n > mostNamed {
		return fmt.Sprintf("%s %s %d more", strings.Join(ids[:mostNamed-1], ", "), word, n-mostNamed+1)
	}
	if len(ids) < 2 {
		return strings.Join(ids, "")
	}
	return strings.Join(ids[:len(ids)-1], ", ") + " " + word + " " + ids[len(ids)-1]
}
