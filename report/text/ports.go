package text

import (
	"fmt"
	"slices"

	"lostair/report"
	"lostair/report/layout"
	"lostair/report/show"
)

var stateWords = [...]string{report.NoNeed: "", report.Enough: "enough", report.Perhaps: "may be short", report.Crowded: "short, not in use", report.ByDesign: "SHORT by design", report.Short: "SHORT"}

// ports shows the flow at each port.
func ports(p *show.Page, r *report.Result) {
	if len(r.Ports) == 0 {
		return
	}
	if !r.FlowsHold() {
		p.Heading("Air at the ports")
		p.Para("", r.Untold(), show.PlainText)
		return
	}
	rows, left := r.Ports, 0
	if len(rows) > report.MostPorts {
		rows = inNeed(r.Ports)
		left = len(r.Ports) - len(rows)
	}
	p.Heading("Air at the ports" + inUnitOf(r.Ports))
	if len(rows) > 0 {
		portTable(p, rows)
	}
	if left > 0 {
		p.Para("", fmt.Sprintf("%d more ports get enough, or state no need.", left), show.PlainText)
	}
	portNotes(p, rows)
}

func inUnitOf(ports []report.Port) string {
	for _, x := range ports {
		if x.Flow != nil {
			return ", in " + x.Flow.Unit
		}
	}
	return ""
}

func inNeed(ports []report.Port) []report.Port {
	var out []report.Port
	for _, x := range ports {
		if x.State() > report.Enough {
			out = append(out, x)
		}
	}
	return out
}

func portTable(p *show.Page, rows []report.Port) {
	t := layout.Table{Columns: []layout.Column{{Head: "port", Least: 8}, {Head: "gates open", Least: 8}, {Head: "now", Right: true},
		{Head: "9 in 10 sure", Right: true}, {Head: "if sound", Right: true}, {Head: "need", Right: true}, {Head: "", Least: 8}}}
	for _, x := range rows {
		now, span := "-", ""
		if x.Flow != nil {
			now, span = x.Flow.Mid(), x.Flow.Span()
		}
		t.Rows = append(t.Rows, []string{x.Port, show.Briefly(x.Open), now, span, report.IfSound(x), report.Needed(x.Need), stateWords[x.State()]})
	}
	p.Table("", t, func(row, column int) string {
		if column != len(t.Columns)-1 {
			return show.PlainText
		}
		return stateColor(rows[row].State())
	})
}

func stateColor(s report.State) string {
	switch s {
	case report.Short:
		return show.Bad
	case report.Enough:
		return show.Good
	}
	return show.Doubtful
}

// portNotes explains the marks that stand in the table.
func portNotes(p *show.Page, rows []report.Port) {
	for _, x := range []struct {
		report.State
		words string
	}{
		{report.ByDesign, "SHORT by design: a sound system would not give enough in this setting of the gates either."},
		{report.Crowded, "Short, not in use: so many gates share what the fan moves that a sound system would not give enough either. The setting is not one in use, so no port is called too small for it."},
	} {
		if slices.ContainsFunc(rows, func(r report.Port) bool { return r.State() == x.State }) {
			p.Para("", x.words, show.PlainText)
		}
	}
}
