package report

import (
	"fmt"
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

// ReadFrom says which readings the result is made from.
func ReadFrom(r *Result) string {
	s := fmt.Sprintf("%s from %s", show.Plural(r.Survey.Readings, "reading"), FileName(r.Survey.File))
	switch {
	case r.Survey.First == "":
	case r.Survey.First == r.Survey.Last:
		s += ", " + r.Survey.First
	default:
		s += ", " + r.Survey.First + " to " + r.Survey.Last
	}
	for i, b := range r.Baselines {
		if i == 0 {
			s += ", compared with when it was sound: "
		} else {
			s += ", "
		}
		s += FileName(b.File)
	}
	return s
}

func FileName(f string) string {
	if f == "-" {
		return "standard input"
	}
	return f
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

func NameOf(s System) string {
	if s.Name != "" {
		return s.Name
	}
	return FileName(s.File)
}
