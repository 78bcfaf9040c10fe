package report

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"lostair/readings"
	"lostair/report/layout"
)

// Most that is shown of a list that can be long.
const (
	mostEvidence = 5
	mostAlike    = 6
	mostOthers   = 8
	mostFurthest = 6
	mostNext     = 5
)

// suspects shows the asserted faults, wrong rows apart.
func (p *page) suspects(r *Result) {
	main, narrow, _ := sorted(r.Faults)
	all := append(main, narrow...)
	if len(all) == 0 {
		return
	}
	p.heading("What is wrong")
	for i, f := range all {
		if i > 0 {
			p.blank()
		}
		p.suspect(i+1, f, told(r, f.Zone), r.Several())
	}
}

// told says whether what to do names a zone anyway.
func told(r *Result, zone string) bool {
	return slices.ContainsFunc(r.Fixes, func(f Fix) bool { return strings.Contains(f.Do, zone) })
}

func (p *page) suspect(n int, f Fault, zoneTold, several bool) {
	lead := fmt.Sprintf("%d. ", n)
	rest := strings.Repeat(" ", len(lead))
	p.para(lead, fmt.Sprintf("%s: %s, %s", title(f.Name), chance(f.Probability), percent(f.Probability)), bold)
	if f.Severity != nil {
		label := "How bad: "
		if f.Kind == undersized {
			label = "Diameter: "
		}
		p.para(rest+label, fmt.Sprintf("%s (9 in 10 sure of %s).", f.HowBad, withSpan(*f.Severity)), plainText)
	}
	if f.Kind == undersized && f.Why != "" {
		p.para(rest+"For: ", "port "+f.Why, plainText)
	}
	if len(f.Alike) > 0 {
		p.para(rest+"Looks the same: ", alike(f), plainText)
	}
	if f.Zone != "" && !zoneTold {
		p.para(rest+"Search: ", f.Zone, plainText)
	}
	if len(f.Evidence) > 0 {
		p.para(rest, speaks(f.Evidence, several), plainText)
		p.evidence(rest+"  ", f.Evidence, withoutHead(several))
	}
}

func withSpan(iv Interval) string {
	if iv.Unit == "" || iv.Unit == "x" {
		return iv.span()
	}
	return iv.span() + " " + iv.Unit
}

// alike lists what can't be told from a fault.
func alike(f Fault) string {
	s := fmt.Sprintf("%s. These readings can't tell them apart; that it is one of them is %s, %s.",
		listed(alikeNames(f)), chance(f.Together), percent(f.Together))
	if note := f.Overlap(); note != "" {
		s += " " + note
	}
	return s
}

// overlapFrom is a sum of probabilities that rounding alone doesn't give.
const overlapFrom = 1.02

// overlap says why chances add up to more than 100 %, where they do.
func overlap(list []Candidate, more float64) string {
	for _, c := range list {
		more += c.Probability
	}
	if more < overlapFrom {
		return ""
	}
	return "The chances add up to more than 100 %, since several of these can be there at once."
}

// Overlap is overlap of a fault and those that are named as looking the same.
func (f Fault) Overlap() string {
	return overlap(f.Alike[:min(len(f.Alike), mostAlike)], f.Probability)
}

// alikeNames name what looks the same as a fault. After one of a kind the next
// ones are named by their place alone.
func alikeNames(f Fault) []string {
	var parts []string
	kind := f.Kind
	for i, a := range f.Alike {
		if i == mostAlike {
			return append(parts, fmt.Sprintf("%d more", len(f.Alike)-i))
		}
		name := a.Name
		if a.Kind == kind && strings.HasSuffix(name, " "+a.Where) && a.Where != readings.Bin {
			name = a.Where
			if i == 0 {
				name = "one in " + a.Where
			}
		}
		kind = a.Kind
		parts = append(parts, fmt.Sprintf("%s (%s)", name, percent(a.Probability)))
	}
	return parts
}

// Several says that more than one fault of the system is asserted: what a fault's
// evidence is held against has the others in it.
func (r *Result) Several() bool {
	main, _, _ := sorted(r.Faults)
	return len(main) > 1
}

// withoutHead heads the column of what would be read without a fault.
func withoutHead(several bool) string {
	if several {
		return "without it"
	}
	return "if sound"
}

// speaks says in words what the evidence shows.
func speaks(ev []Evidence, several bool) string {
	var low, high []string
	for i, e := range ev {
		if i == mostEvidence {
			break
		}
		more := math.Abs(e.Measured) > math.Abs(e.Sound)
		switch {
		case more && !slices.Contains(high, e.Point):
			high = append(high, e.Point)
		case !more && !slices.Contains(low, e.Point):
			low = append(low, e.Point)
		}
	}
	var parts []string
	if len(low) > 0 {
		parts = append(parts, "too low at "+listed(low))
	}
	if len(high) > 0 {
		parts = append(parts, "too high at "+listed(high))
	}
	what := "a sound system; with the fault they fit."
	if several {
		what = "a system with the other faults alone; with this one they fit."
	}
	return "What speaks for it: readings " + strings.Join(parts, ", ") + " for " + what
}

func (p *page) evidence(indent string, ev []Evidence, without string) {
	t := readingTable(without, "with the fault")
	for i, e := range ev {
		if i == mostEvidence {
			break
		}
		t.Rows = append(t.Rows, readingRow(e.Reading, e.Measured, e.Sound, e.WithFault, e.Sigma, e.Unit))
	}
	p.table(indent, t, nil)
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

func readingRow(r Reading, measured, sound, third, sigma float64, unit string) []string {
	what := r.Point + " " + quantity(r.Quantity)
	if r.HoseOff != "" {
		what += ", hose off"
	}
	if l := lines(r.Lines); l != "" {
		what += ", " + l
	}
	n := places(2 * offAt * sigma)
	return []string{what, briefly(r.Open), fixed(measured, n), fixed(sound, n), fixed(third, n), unit}
}

// others lists candidates that are not asserted.
func (p *page) others(r *Result) {
	t := layout.Table{Columns: []layout.Column{{Least: 20}, {}, {Right: true}}}
	var named []Candidate
	for _, c := range r.Candidates {
		if c.Probability < 0.02 || asserted(r, c) || len(t.Rows) == mostOthers {
			continue
		}
		named = append(named, c)
		t.Rows = append(t.Rows, []string{c.Name, chance(c.Probability), percent(c.Probability)})
	}
	if r.Unlisted >= 0.02 {
		what := "something that this program has no name for"
		if r.Instead != "" {
			what = "no fault of the system, as said above"
		}
		t.Rows = append(t.Rows, []string{what, chance(r.Unlisted), percent(r.Unlisted)})
	}
	if len(t.Rows) == 0 {
		return
	}
	p.heading("What else it could be")
	p.table("", t, nil)
	if note := overlap(named, r.Unlisted); note != "" {
		p.para("", note, plainText)
	}
}

// asserted says whether c stands among the faults or what looks like them.
func asserted(r *Result, c Candidate) bool {
	for _, f := range r.Faults {
		for _, x := range append([]Candidate{f.Candidate}, f.Alike...) {
			if x.Kind == c.Kind && x.Where == c.Where {
				return true
			}
		}
	}
	return false
}

// furthest shows the readings that lie furthest from a sound system, where no
// suspect has shown its own.
func (p *page) furthest(r *Result) {
	for _, f := range r.Faults {
		if len(f.Evidence) > 0 {
			return
		}
	}
	far := farChecks(r.Checks)
	if len(far) == 0 {
		return
	}
	p.heading("Readings furthest from a sound system")
	t := readingTable(withoutHead(false), "this result")
	for _, c := range far {
		t.Rows = append(t.Rows, readingRow(c.Reading, c.Measured, c.Expected, c.Fitted, c.Sigma, c.Unit))
	}
	if !r.flowsHold() { // the faults' best try at them is no result
		t = lessColumn(t, thirdColumn)
	}
	p.table("", t, nil)
}

// farChecks are the checks that lie two standard deviations off or more, the
// furthest first.
func farChecks(all []Check) []Check {
	var far []Check
	for _, c := range all {
		if !c.Wrong && off(c) >= 2 {
			far = append(far, c)
		}
	}
	sort.SliceStable(far, func(i, j int) bool { return off(far[i]) > off(far[j]) })
	return far[:min(len(far), mostFurthest)]
}

func off(c Check) float64 {
	if c.Sigma <= 0 {
		return 0
	}
	return math.Abs(c.Measured-c.Expected) / c.Sigma
}

// title gives a phrase a capital.
func title(s string) string {
	if s == "" || s[0] < 'a' || s[0] > 'z' {
		return s
	}
	return string(s[0]-'a'+'A') + s[1:]
}
