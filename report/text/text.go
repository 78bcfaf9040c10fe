package text

import (
	"fmt"
	"io"
	"strings"

	"lostair/report"
	"lostair/report/show"
)

// Write tells a result to a person. One screen comes first: whether something is
// broken, whether something is too small, where to search, what to do, what to
// read next. Then which ports fall short, further steps and cautions; with
// s.All also how sure all is, and from which readings.
func Write(w io.Writer, r *report.Result, s show.Style) error {
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

func opening(p *show.Page, r *report.Result) {
	name := r.System.Name
	if name == "" {
		name = r.System.File
	}
	p.Para("", name, show.Bold)
	p.Para("", report.ReadFrom(r), show.PlainText)
	p.Blank()
}

// hides says of a system that looks sound what may hide in it.
func hides(p *show.Page, r *report.Result) {
	if len(r.Shows) == 0 {
		return
	}
	p.Heading("What could still hide")
	p.Para("", "Faults milder than these:", show.PlainText)
	Shows(p, r.Shows)
}

// written shows the lines about what was written down.
func written(p *show.Page, r *report.Result, likely bool) {
	rest := r.WrittenDown(likely)
	if len(rest) == 0 {
		return
	}
	head := "What is probably written down wrong"
	if !likely {
		head = "What may be written down wrong"
	}
	p.Heading(head)
	for i, w := range rest {
		lead := fmt.Sprintf("%d. ", i+1)
		p.Para(lead, w.Told(), show.PlainText)
		p.Para(strings.Repeat(" ", len(lead))+"Look: ", w.Look+".", show.PlainText)
	}
}
