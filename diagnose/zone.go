package diagnose

import (
	"fmt"
	"slices"
	"strings"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/numeric"
)

// Zone says in words where a group of faults is to be searched.
func Zone(m *airflow.Model, sites []*fault.Site, members []int) string {
	first := sites[members[0]]
	if len(members) == 1 {
		return spotWords(m, first)
	}
	var ducts []int
	for _, i := range members {
		if d := sites[i].Duct; d >= 0 && !numeric.Contains(ducts, d) {
			ducts = append(ducts, d)
		}
	}
	if len(ducts) == 0 {
		return "at the collector"
	}
	if hasBin(sites, members) {
		return "at the bin and " + along(m, sites, members, ducts)
	}
	return along(m, sites, members, ducts)
}

// hasBin says that a leak at the bin is among the members: it lies in no duct.
func hasBin(sites []*fault.Site, members []int) bool {
	return slices.ContainsFunc(members, func(i int) bool { return sites[i].Kind == fault.Leak && sites[i].Duct < 0 })
}

// along is a zone in ducts.
func along(m *airflow.Model, sites []*fault.Site, members, ducts []int) string {
	low := lowest(m.Sys, ducts)
	from := upperEnd(m, sites, members, ducts)
	to := "the collector's inlet"
	if into := m.Sys.Ducts[low].Into; into >= 0 {
		to = fmt.Sprintf("the join with %s", m.Sys.Ducts[into].ID)
	}
	switch {
	case len(ducts) == 1 && from == "":
		return fmt.Sprintf("somewhere along %s, its join with what comes next included", m.Sys.Ducts[low].ID)
	case from == "":
		return fmt.Sprintf("along %s, down to %s", names(m.Sys, ducts), to)
	case len(ducts) == 1:
		return fmt.Sprintf("at %s or along %s", from, m.Sys.Ducts[low].ID)
	}
	return fmt.Sprintf("between %s and %s: %s", from, to, names(m.Sys, ducts))
}

func spotWords(m *airflow.Model, s *fault.Site) string {
	switch s.Kind {
	case fault.GateRestricted, fault.GateLeaking:
		return "at the gate " + s.Where
	case fault.FilterLoaded:
		return "at the filter"
	case fault.FanWeak:
		return "at the fan"
	}
	if s.Where == "bin" && s.Duct < 0 {
		return "at the bin"
	}
	if _, ok := m.Sys.PortNamed(s.Where); ok {
		return "at the hood of " + s.Where
	}
	return "along " + s.Where
}

// lowest is the duct nearest the collector.
func lowest(s *duct.System, ducts []int) int {
	best, depth := ducts[0], 1<<30
	for _, d := range ducts {
		n := 0
		for x := d; x >= 0; x = s.Ducts[x].Into {
			n++
		}
		if n < depth {
			best, depth = d, n
		}
	}
	return best
}

// upperEnd names where the zone begins: a hood or a gate among the members.
func upperEnd(m *airflow.Model, sites []*fault.Site, members, ducts []int) string {
	gate := ""
	for _, i := range members {
		s := sites[i]
		if p, ok := m.Sys.PortNamed(s.Where); ok && s.Kind == fault.Blockage {
			if _, isDuct := m.Sys.DuctNamed(s.Where); !isDuct {
				return "the hood of " + m.Sys.Ports[p].ID
			}
		}
		if s.Kind == fault.GateRestricted || s.Kind == fault.GateLeaking {
			gate = "the gate " + s.Where
		}
	}
	return gate
}

func names(s *duct.System, ducts []int) string {
	var n []string
	for _, d := range ducts {
		n = append(n, s.Ducts[d].ID)
	}
	return strings.Join(n, ", ")
}
