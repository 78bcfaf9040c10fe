package report

import "lostair/report/show"

// hides says of a system that looks sound what may hide in it.
func hides(p *show.Page, r *Result) {
	if len(r.Shows) == 0 {
		return
	}
	p.Heading("What could still hide")
	p.Para("", "Faults milder than these:", show.PlainText)
	Shows(p, r.Shows)
}
