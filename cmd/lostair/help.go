package main

import (
	"fmt"
	"strings"

	"lostair/diagnose"
	"lostair/diagnose/duct"
	"lostair/readings"
	"lostair/readings/units"
)

// What help says of kinds, quantities, units and materials comes from their
// tables, so that it can't go stale.

func kindsHelp() string {
	var b strings.Builder
	b.WriteString("Kinds of fault, and how bad each is measured:\n")
	for k := diagnose.Leak; k <= diagnose.ReadingWrong; k++ {
		unit := k.Dimension().Symbol(units.Metric)
		if us := k.Dimension().Symbol(units.US); us != unit {
			unit += " or " + us
		}
		if unit != "" {
			unit = ", " + unit
		}
		fmt.Fprintf(&b, "  %-16s %s%s\n", k, k.Measure(), unit)
	}
	return b.String()
}

func readingsHelp() string {
	var b strings.Builder
	b.WriteString("Quantities of the readings file, and units that their values may carry:\n")
	for _, name := range units.QuantityNames() {
		q, _ := units.QuantityNamed(name)
		fmt.Fprintf(&b, "  %-18s %s\n", name, strings.Join(units.Symbols(q.Dimension()), ", "))
	}
	fmt.Fprintf(&b, "Points besides taps and ports: %s\n", reservedHelp())
	return b.String()
}

func reservedHelp() string {
	return strings.Join([]string{readings.CollectorInlet, readings.FanInlet, readings.Filter, readings.Bin}, ", ")
}

func systemHelp() string {
	var b strings.Builder
	b.WriteString("Materials of a duct:\n")
	for _, m := range duct.Materials() {
		fmt.Fprintf(&b, "  %-12s %s\n", m.Name, m.What)
	}
	b.WriteString("Hoods of a port, or a number:\n")
	for _, h := range duct.Hoods() {
		fmt.Fprintf(&b, "  %-12s %s\n", h.Name, h.What)
	}
	return b.String()
}
