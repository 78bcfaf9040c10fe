package report

import (
	"fmt"
	"io"

	"lostair/report/show"
)

// Text tells a result to a person: the verdict in a sentence, what is wrong and
// how sure that is, what to do, what each port gets, which readings look wrong,
// what to read next, and what to take care of.
func Text(w io.Writer, r *Result, s show.Style) error {
	p := show.NewPage(s)
	opening(p, r)
	suspects(p, r)
	steps(p, r)
	hides(p, r)
	ports(p, r)
	wrongRows(p, r)
	others(p, r)
	furthest(p, r)
	next(p, r)
	Doubts(p, r)
	Cautions(p, r)
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
	p.Para("", r.Summary, VerdictColor(r))
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
