package text

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"lostair/report"
	"lostair/report/layout"
	"lostair/report/show"
)

// suspects shows the asserted faults, wrong rows apart.
func suspects(p *show.Page, r *report.Result) {
	main, narrow, _ := report.Sorted(r.Faults)
	all := append(main, narrow...)
	if len(all) == 0 {
		return
	}
	p.Heading("What is wrong")
	for i, f := range all {
		if i > 0 {
			p.Blank()
		}
		suspect(p, i+1, f, report.Told(r, f.Zone), r.Several())
	}
}

func suspect(p *show.Page, n int, f report.Fault, zoneTold, several bool) {
	lead := fmt.Sprintf("%d. ", n)
	rest := strings.Repeat(" ", len(lead))
	p.Para(lead, f.Found(), show.Bold)
	if f.Severity != nil {
		if f.Kind == report.Undersized {
			p.Para(rest+"Diameter: ", f.HowBad+".", show.PlainText)
		} else {
			p.Para(rest+"How bad: ", fmt.Sprintf("%s (9 in 10 sure of %s).", report.IfItIs(f)+f.HowBad, show.WithSpan(*f.Severity)), show.PlainText)
		}
	}
	if f.Kind == report.Undersized && f.Why != "" {
		p.Para(rest+"For: ", "port "+f.Why, show.PlainText)
	}
	if len(f.Alike) > 0 {
		p.Para(rest+"Shares: ", f.Shared()+". These readings can't tell them apart.", show.PlainText)
	}
	if f.Zone != "" && !zoneTold {
		p.Para(rest+"Search: ", f.Zone, show.PlainText)
	}
	if len(f.Evidence) > 0 {
		p.Para(rest, report.Speaks(f.Evidence, several), show.PlainText)
		evidence(p, rest+"  ", f.Evidence, withoutHead(several))
	}
}

// withoutHead heads the column of what would be read without a fault.
func withoutHead(several bool) string {
	if several {
		return "without it"
	}
	return "if sound"
}

func evidence(p *show.Page, indent string, ev []report.Evidence, without string) {
	t := readingTable(without, "with the fault")
	for i, e := range ev {
		if i == report.MostEvidence {
			break
		}
		t.Rows = append(t.Rows, readingRow(e.Reading, e.Measured, e.Sound, e.WithFault, e.Sigma, e.Unit))
	}
	p.Table(indent, t, nil)
}

// thirdColumn is the place of the third way in a table of readings.
const thirdColumn = 4

// lessColumn is a table less one column.
func lessColumn(t layout.Table, column int) layout.Table {
	t.Columns = slices.Delete(slices.Clone(t.Columns), column, column+1)
	for i := range t.Rows {
		t.Rows[i] = slices.Delete(slices.Clone(t.Rows[i]), column, column+1)
	}
	return t
}

// readingTable is a table of readings: as measured, without a fault, and a third way.
func readingTable(without, third string) layout.Table {
	return layout.Table{Columns: []layout.Column{
		{Head: "reading", Least: 12}, {Head: "gates open", Least: 8}, {Head: "measured", Right: true},
		{Head: without, Right: true}, {Head: third, Right: true}, {Head: ""}}}
}

func readingRow(r report.Reading, measured, sound, third, sigma float64, unit string) []string {
	what := r.Point + " " + show.Quantity(r.Quantity)
	if r.HoseOff != "" {
		what += ", hose off"
	}
	if l := show.Lines(r.Lines); l != "" {
		what += ", " + l
	}
	n := show.Places(2 * show.OffAt * sigma)
	return []string{what, show.Briefly(r.Open), show.Fixed(measured, n), show.Fixed(sound, n), show.Fixed(third, n), unit}
}

// others lists candidates that are not asserted.
func others(p *show.Page, r *report.Result) {
	t := layout.Table{Columns: []layout.Column{{Least: 20}, {}, {Right: true}}}
	var named []report.Candidate
	for _, c := range r.Candidates {
		if c.Probability < 0.02 || report.Asserted(r, c) || len(t.Rows) == report.MostOthers {
			continue
		}
		named = append(named, c)
		t.Rows = append(t.Rows, []string{c.Name, show.Chance(c.Probability), show.Percent(c.Probability)})
	}
	if r.Unlisted >= 0.02 {
		what := "something that this program has no name for"
		if r.Instead != "" {
			what = "no fault of the system, as said above"
		}
		t.Rows = append(t.Rows, []string{what, show.Chance(r.Unlisted), show.Percent(r.Unlisted)})
	}
	if len(t.Rows) == 0 {
		return
	}
	p.Heading("What else it could be")
	p.Table("", t, nil)
	if note := report.Overlap(named, r.Unlisted); note != "" {
		p.Para("", note, show.PlainText)
	}
}

// furthest shows the readings that lie furthest from a sound system, where no
// suspect has shown its own.
func furthest(p *show.Page, r *report.Result) {
	for _, f := range r.Faults {
		if len(f.Evidence) > 0 {
			return
		}
	}
	far := farChecks(r.Checks)
	if len(far) == 0 {
		return
	}
	p.Heading("Readings furthest from a sound system")
	t := readingTable(withoutHead(false), "this result")
	for _, c := range far {
		t.Rows = append(t.Rows, readingRow(c.Reading, c.Measured, c.Expected, c.Fitted, c.Sigma, c.Unit))
	}
	if !r.FlowsHold() { // the faults' best try at them is no result
		t = lessColumn(t, thirdColumn)
	}
	p.Table("", t, nil)
}

// mostFurthest is how many readings are shown that lie far from a sound system.
const mostFurthest = 6

// farChecks are the checks that lie two standard deviations off or more, the
// furthest first.
func farChecks(all []report.Check) []report.Check {
	var far []report.Check
	for _, c := range all {
		if !c.Wrong && off(c) >= 2 {
			far = append(far, c)
		}
	}
	sort.SliceStable(far, func(i, j int) bool { return off(far[i]) > off(far[j]) })
	return far[:min(len(far), mostFurthest)]
}

func off(c report.Check) float64 {
	if c.Sigma <= 0 {
		return 0
	}
	return math.Abs(c.Measured-c.Expected) / c.Sigma
}
