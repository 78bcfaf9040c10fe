package report

import (
	"fmt"
	"strings"

	"lostair/report/show"
)

// written shows the lines about what was written down.
func written(p *show.Page, r *Result, likely bool) {
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
