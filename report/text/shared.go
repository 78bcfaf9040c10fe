package text

import (
	"lostair/report"
	"lostair/report/layout"
	"lostair/report/show"
)

// Shows is a table of the smallest faults that show.
func Shows(p *show.Page, list []report.Shown) {
	b := layout.Table{Columns: []layout.Column{{Head: "fault"}, {Head: "at best"}, {Head: "at most places"}, {Head: "would go unnoticed at"}}}
	for _, sh := range list {
		b.Rows = append(b.Rows, sh.Cells())
	}
	p.Table("", b, nil)
	p.Para("", show.ShowsNote, show.PlainText)
}

// VerdictColor is the colour of what is said first.
func VerdictColor(r *report.Result) string {
	switch r.Verdict {
	case "clear":
		return show.Good
	case "faults":
		return show.Bad
	}
	return show.Doubtful
}

// Doubts lists what weakens a result.
func Doubts(p *show.Page, r *report.Result) {
	if len(r.Doubts) == 0 {
		return
	}
	p.Heading("What weakens this result")
	for _, d := range r.Doubts {
		p.Para("* ", d, show.PlainText)
	}
}

// Cautions lists what to mind before acting on a result.
func Cautions(p *show.Page, r *report.Result) {
	p.Heading("Take care")
	for _, c := range r.Cautions {
		p.Para("* ", c, show.PlainText)
	}
}
