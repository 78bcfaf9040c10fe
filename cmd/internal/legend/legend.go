package legend

import (
	"fmt"
	"strings"

	"lostair/cmd/internal/runs"
	"lostair/diagnose/duct/keys"
	"lostair/diagnose/duct/trade"
	"lostair/diagnose/fault"
	"lostair/readings"
	"lostair/readings/units"
)

// Units lists what a bare number means.
func Units() string {
	var b strings.Builder
	b.WriteString("A number may carry its unit (4 in, 12 ft 6 in, 2.5 inH2O, 400 cfm). A bare number has the unit of the system file's key units:\n")
	fmt.Fprintf(&b, "  %-16s %-8s %s\n", "", "metric", "us")
	for _, d := range units.Dimensions() {
		if m := d.Symbol(units.Metric); m != "" {
			fmt.Fprintf(&b, "  %-16s %-8s %s\n", d, m, d.Symbol(units.US))
		}
	}
	return b.String()
}

// Keys lists each key of the system file, a heading for each section.
func Keys() string {
	var b strings.Builder
	for _, s := range keys.Sections() {
		if s != "" {
			fmt.Fprintf(&b, "\n%s\n", s)
		}
		for _, k := range keys.Of(s) {
			what := k.What
			if len(k.Choices) > 0 && len(k.Choices) < 5 {
				what += " (" + strings.Join(k.Choices, ", ") + ")"
			}
			switch {
			case k.Needed:
				what += "; needed"
			case k.Default != "":
				what += "; left out: " + k.Default
			}
			fmt.Fprintf(&b, "  %-18s %s\n", k.Name, what)
		}
	}
	return b.String()
}

// System lists the materials of a duct and the hoods of a port.
func System() string {
	var b strings.Builder
	b.WriteString("Materials of a duct:\n")
	for _, m := range trade.Materials() {
		fmt.Fprintf(&b, "  %-12s %s\n", m.Name, m.What)
	}
	b.WriteString("Hoods of a port, or a number:\n")
	for _, h := range trade.Hoods() {
		fmt.Fprintf(&b, "  %-12s %s\n", h.Name, h.What)
	}
	return b.String()
}

// Columns lists the columns of a readings file.
func Columns() string {
	var b strings.Builder
	b.WriteString("Columns, in any order:\n")
	for _, c := range readings.ColumnTable() {
		what := c.What
		if c.Needed {
			what += "; needed"
		}
		fmt.Fprintf(&b, "  %-11s %s\n", c.Name, what)
	}
	b.WriteString("Rows equal in all but value, note and position are repeats of one reading. Rows that differ in position are one traverse.\n")
	return b.String()
}

// Readings lists the quantities of a readings file with their units and short names,
// and the points that are no taps or ports.
func Readings() string {
	var b strings.Builder
	b.WriteString("Quantities of the readings file, and units that their values may carry:\n")
	for _, name := range units.QuantityNames() {
		q, _ := units.QuantityNamed(name)
		fmt.Fprintf(&b, "  %-18s %s\n", name, strings.Join(units.Symbols(q.Dimension()), ", "))
	}
	fmt.Fprintf(&b, "Short names that are understood, in any letters: %s\n", strings.ReplaceAll(strings.Join(readings.ShortQuantities(), ", "), "_", " "))
	fmt.Fprintf(&b, "Points besides taps and ports: %s\n", Reserved())
	return b.String()
}

// Reserved names the points that are no taps or ports.
func Reserved() string {
	return strings.Join(readings.ReservedPoints(), ", ")
}

// Looks lists what can be looked at, which stands in a survey as readings do.
func Looks() string {
	var b strings.Builder
	b.WriteString("Looks. A look is one row: the look is the quantity, yes or no the value. open is none where the gates don't matter. Write no row for what you can't tell:\n")
	for _, name := range readings.LookNames() {
		k := readings.Look(name)
		what := k.At().String()
		if k.Number() {
			what += "; a number, in the unit of diameters"
		}
		fmt.Fprintf(&b, "  %-20s %s\n", name, what)
	}
	return b.String()
}

// Kinds lists the kinds of fault and how the severity of each is measured.
func Kinds() string {
	var b strings.Builder
	b.WriteString("Kinds of fault, and how the severity of each is measured:\n")
	for _, k := range fault.Kinds() {
		if k == fault.Altered { // no fault, and none that a result names
			continue
		}
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

// Runs lists the columns of a table of runs.
func Runs() string {
	var b strings.Builder
	b.WriteString("A shop's runs as a spreadsheet, for lostair new --from and the bench page, which also writes one: CSV or a workbook (.xlsx), one row a run. A unit may stand in a header: length (ft). Columns, in any order, and other names for them:\n")
	for _, c := range runs.Columns() {
		fmt.Fprintf(&b, "  %-12s %s (%s)\n", c.Name, c.What, strings.Join(c.Also, ", "))
	}
	return b.String()
}
