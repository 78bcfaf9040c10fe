package report

import (
	"fmt"
	"io"
)

// Text tells a result to a person: the verdict in a sentence, what is wrong and
// how sure that is, what to do, what each port gets, which readings look wrong,
// what to read next, and what to take care of.
func Text(w io.Writer, r *Result, s Style) error {
	p := newPage(s)
	p.opening(r)
	p.suspects(r)
	p.steps(r)
	p.hides(r)
	p.ports(r)
	p.wrongRows(r)
	p.others(r)
	p.furthest(r)
	p.next(r)
	p.doubts(r)
	p.cautions(r)
	return p.writeTo(w)
}

func (p *page) opening(r *Result) {
	name := r.System.Name
	if name == "" {
		name = r.System.File
	}
	p.para("", name, bold)
	p.para("", readFrom(r), plainText)
	p.blank()
	p.para("", r.Summary, verdictColor(r))
}

// readFrom says which readings the result is made from.
func readFrom(r *Result) string {
	s := fmt.Sprintf("%s from %s", plural(r.Survey.Readings, "reading"), fileName(r.Survey.File))
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
		s += fileName(b.File)
	}
	return s
}

func fileName(f string) string {
	if f == "-" {
		return "standard input"
	}
	return f
}

func verdictColor(r *Result) string {
	switch r.Verdict {
	case "clear":
		return good
	case "faults":
		return bad
	}
	return doubtful
}

func (p *page) doubts(r *Result) {
	if len(r.Doubts) == 0 {
		return
	}
	p.heading("What weakens this result")
	for _, d := range r.Doubts {
		p.para("* ", d, plainText)
	}
}

func (p *page) cautions(r *Result) {
	p.heading("Take care")
	for _, c := range r.Cautions {
		p.para("* ", c, plainText)
	}
}
