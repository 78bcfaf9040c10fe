package report

import (
	"io"

	"lostair/report/show"
)

// Text tells a result to a person. One screen comes first: whether something is
// broken, whether something is too small, where to search, what to do, what to
// read next. Then which ports fall short, further steps and cautions; with
// s.All also how sure all is, and from which readings.
func Text(w io.Writer, r *Result, s show.Style) error {
	p := show.NewPage(s)
	opening(p, r)
	firstThings(p, r)
	written(p, r, true)
	if s.All {
		suspects(p, r)
		steps(p, r)
		hides(p, r)
		ports(p, r)
	} else {
		shortPorts(p, r)
		laterSteps(p, r)
	}
	wrongRows(p, r)
	if s.All {
		others(p, r)
		furthest(p, r)
		whatNext(p, r)
	}
	written(p, r, false)
	Doubts(p, r)
	if s.All {
		Cautions(p, r)
	} else {
		p.Heading("Take care")
		p.Para("", show.CautionsInBrief, show.PlainText)
		p.Blank()
		p.Para("", "The evidence, every port and setting, what else it could be, and all cautions: add --all.", show.PlainText)
	}
	return p.Write(w)
}

func opening(p *show.Page, r *Result) {
	name := r.System.Name
	if name == "" {
		name = r.System.File
	}
	p.Para("", name, show.Bold)
	p.Para("", ReadFrom(r), show.PlainText)
	p.Blank()
}
