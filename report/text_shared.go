package report

import (
	"lostair/report/layout"
	"lostair/report/show"
)

// Shows is a table of the smallest faults that show.
func Shows(p *show.Page, list []Shown) {
	b := layout.Table{Columns: []layout.Column{{Head: "fault"}, {Head: "at best"}, {Head: "at most places"}, {Head: "would go unnoticed at"}}}
	for _, sh := range list {
		b.Rows = append(b.Rows, sh.cells())
	}
	p.Table("", b, nil)
	p.Para("", show.ShowsNote, show.PlainText)
}

func VerdictColor(r *Result) string {
	switch r.Verdict {
	case "clear":
		return show.Good
	case "faults":
		return show.Bad
	}
	return show.Doubtful
}

func Doubts(p *show.Page, r *Result) {
	if len(r.Doubts) == 0 {
		return
	}
	p.Heading("What weakens this result")
	for _, d := range r.Doubts {
		p.Para("* ", d, show.PlainText)
	}
}

func Cautions(p *show.Page, r *Result) {
	p.Heading("Take care")
	for _, c := range r.Cautions {
		p.Para("* ", c, show.PlainText)
	}
}
