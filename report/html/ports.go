package html

import (
	"fmt"
	"slices"
	"strings"

	"lostair/diagnose"
	"lostair/report"
	"lostair/report/show"
)

// portRow is one port in one gate configuration, with its bar.
type portRow struct {
	report.Port
	First          bool // first row of its port
	Bar, Low, Wide string
	Want, Line     string // where expected and need stand, % of the width
	HasWant        bool
	HasNeed        bool
	State, Word    string
	Alt            string
}

// portRows sorts the flows by port, in the order of the system file, and
// scales their bars alike.
func portRows(d *diagnose.Result, r *report.Result) []portRow {
	if !r.FlowsHold() {
		return nil
	}
	rank := map[string]int{}
	for i, p := range d.System.Ports {
		rank[p.ID] = i
	}
	list := slices.Clone(r.Ports)
	slices.SortStableFunc(list, func(a, b report.Port) int { return rank[a.Port] - rank[b.Port] })
	most := 0.0
	for _, p := range list {
		most = max(most, expectedOf(p), p.Need)
		if p.Flow != nil {
			most = max(most, p.Flow.High)
		}
	}
	most *= 1.05
	var out []portRow
	last := ""
	for _, p := range list {
		if p.Flow == nil {
			continue
		}
		row := newPortRow(p, most)
		row.First = p.Port != last
		last = p.Port
		out = append(out, row)
	}
	return out
}

func newPortRow(p report.Port, most float64) portRow {
	pc := func(v float64) string { return show.Coordinate(min(max(100*v/max(most, 1e-12), 0), 100)) + "%" }
	r := portRow{Port: p, Bar: pc(p.Flow.Value), Low: pc(p.Flow.Low), Wide: pc(p.Flow.High - p.Flow.Low), Want: pc(expectedOf(p)), Line: pc(p.Need), HasWant: p.Expected != nil, HasNeed: p.Need > 0}
	switch {
	case p.Need <= 0:
		r.State, r.Word = "open", "no need stated"
	case p.Flow.Low >= p.Need:
		r.State, r.Word = "good", "✓ enough"
	case p.Flow.High < p.Need:
		r.State, r.Word = "short", fmt.Sprintf("✗ short by %.0f %%", 100*(1-p.Flow.Value/p.Need))
		switch p.State() {
		case report.ByDesign:
			r.Word += ", by design"
		case report.Crowded:
			r.State, r.Word = "open", strings.Replace(r.Word, "✗ ", "", 1)+", in a setting not in use"
		}
	default:
		r.State, r.Word = "open", "? not shown"
	}
	r.Alt = fmt.Sprintf("%s, %s: flow %s", p.Port, show.Gates(p.Open), p.Flow.Mid())
	if p.Expected != nil {
		r.Alt += ", expected " + show.Shown(*p.Expected)
	}
	if p.Need > 0 {
		r.Alt += ", need " + show.Shown(p.Need)
	}
	r.Alt += " " + show.Symbol(p.Flow.Unit) + ", " + strings.TrimLeft(r.Word, "✓✗? ")
	return r
}

func expectedOf(p report.Port) float64 {
	if p.Expected == nil {
		return 0
	}
	return *p.Expected
}

// ExpectedText is the expected flow, or a dash.
func (r portRow) ExpectedText() string {
	if r.Expected == nil {
		return "–"
	}
	return show.Numeral(*r.Expected)
}
