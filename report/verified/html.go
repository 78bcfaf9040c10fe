package verified

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"lostair/diagnose/verify"
	"lostair/readings/units"
	"lostair/report"
	"lostair/report/drawing"
	"lostair/report/figure"
	"lostair/report/pages"
	"lostair/report/show"
)

// HTML shows a verification as one self-contained page that can be
// printed and signed, in the units of u.
func HTML(w io.Writer, v *verify.Report, u units.System) error {
	t, err := pages.ParsePage("verify.html", "drawing.html")
	if err != nil {
		return err
	}
	return show.Execute(w, t, newVerifyPage(v, u))
}

// verifyPage is what the template of the acceptance page needs.
type verifyPage struct {
	*Verification
	Name, From, Word, Mark string
	Class                  string
	Big                    bool // so many ports that the drawing is folded
	FitsPrint              bool // the drawing stands whole on a page
	Ports, OffPorts        verifyTable[verifyPort]
	Speeds, OffSpeeds      verifyTable[verifySpeed]
	CarryText, SizeText    []string
	Pressures              verifyTable[verifyRow]
	OffPressures           verifyTable[verifyRow]
	Collector              []string
	FanState               *verifyMark
	SoundState             *verifyMark
	FaultText              []string
	ToShow                 []string
	MoreSpeeds             []string
	CarryLead              string
	Meters                 []string
	Figures                []figure.TreeFigure
	FlowUnit, PressureUnit string
	SpeedUnit              string
}

// verifyTable is a table of all, or of what does not pass; Left says what it has
// no room for.
type verifyTable[Row any] struct {
	Label, Unit, Left string
	Rows              []Row
}

// notPassed are the rows of which any mark is no pass, the first most of them.
func notPassed[Row any](t verifyTable[Row], label string, most int, marks func(Row) []verifyMark) verifyTable[Row] {
	out := verifyTable[Row]{Label: label, Unit: t.Unit}
	for _, r := range t.Rows {
		if slices.ContainsFunc(marks(r), func(m verifyMark) bool { return m.Word != "" && m.Class != "good" }) {
			out.Rows = append(out.Rows, r)
		}
	}
	if n := len(out.Rows) - most; n > 0 {
		out.Rows, out.Left = out.Rows[:most], fmt.Sprintf("%d more don't pass; they stand in the whole list, folded below.", n)
	}
	return out
}

// mostNotPassed is how many settings and suctions that do not pass stand before
// what is folded. Every port does.
const mostNotPassed = 20

type verifyMark struct{ Class, Sign, Word, Text string }

type verifyPort struct {
	Port, Open, Flow, Span, Need, Design, Least string
	ByNeed, ByDesign                            verifyMark
}

type verifySpeed struct {
	Open  string
	Ducts int
	State verifyMark
	Slow  string
}

type verifyRow struct {
	Where, Open, Value, Span, Design, Differs string
	State                                     verifyMark
}

// markOf shows an outcome by class, sign and word.
func markOf(outcome string) verifyMark {
	switch outcome {
	case "pass":
		return verifyMark{Class: "good", Sign: "✓", Word: "pass"}
	case "fail":
		return verifyMark{Class: "short", Sign: "✗", Word: "fail"}
	case "":
		return verifyMark{}
	}
	return verifyMark{Class: "open", Sign: "?", Word: "not shown"}
}

func newVerifyPage(d *verify.Report, u units.System) *verifyPage {
	v := From(d, u)
	p := &verifyPage{Verification: v, Name: report.NameOf(v.System), From: report.ReadFrom(&report.Result{Survey: v.Survey}), ToShow: v.toShow(),
		FlowUnit: show.Symbol(units.Flow.Symbol(u)), PressureUnit: show.Symbol(units.Pressure.Symbol(u)), SpeedUnit: show.Symbol(units.Velocity.Symbol(u))}
	p.Word, p.Mark, p.Class = overallWord(v)
	for _, l := range v.of("port-design") {
		p.Ports.Rows = append(p.Ports.Rows, newVerifyPort(v, l))
	}
	first, rest := v.firstSpeeds()
	for _, s := range first {
		p.Speeds.Rows = append(p.Speeds.Rows, verifySpeed{show.Briefly(s.open), s.pass + s.fail + s.unsure, markOf(s.outcome()), slowWords(s.slow)})
	}
	p.MoreSpeeds = rest
	if len(v.Carry) > 0 {
		p.CarryLead = carryLead(v)
	}
	for _, c := range v.Carry {
		p.CarryText = append(p.CarryText, carryWords(c))
	}
	for _, x := range v.Sizes {
		p.SizeText = append(p.SizeText, v.sizeWords(x))
	}
	for _, l := range v.of("pressure") {
		p.Pressures.Rows = append(p.Pressures.Rows, verifyRow{l.Where, show.Briefly(l.Open), show.Minus(show.Even(l.Value.Value)), show.Minus(show.EvenSpan(l.Value)),
			show.Minus(show.Even(l.Design)), show.Minus(show.ChangeOf(l.Design, l.Value.Value)), markOf(l.Outcome)})
	}
	for _, l := range v.of("fan") {
		m := markOf(l.Outcome)
		m.Text = strings.NewReplacer(": pass", "", ": FAIL", "").Replace(fanWords(l))
		p.FanState = &m
	}
	for _, l := range v.of("no-fault") {
		m := markOf(l.Outcome)
		m.Text = strings.NewReplacer(": pass", "", ": FAIL", "").Replace(soundWords(l))
		p.SoundState = &m
	}
	if v.Fan != nil {
		p.Collector = append(p.Collector, fanPlaceWords(*v.Fan))
	}
	if len(v.of("filter-room")) > 0 {
		p.Collector = append(p.Collector, roomWords(v))
	}
	for _, f := range v.notBuilt() {
		p.FaultText = append(p.FaultText, foundWords(f))
	}
	for _, i := range v.Instruments {
		p.Meters = append(p.Meters, meterWords(i))
	}
	p.Ports.Label, p.Speeds.Label, p.Pressures.Label = "Air at every port", "Air speed by gates open", "Suction at every tap"
	p.Speeds.Unit = p.SpeedUnit
	p.OffPorts = notPassed(p.Ports, "Ports that do not pass", len(p.Ports.Rows), func(r verifyPort) []verifyMark { return []verifyMark{r.ByNeed, r.ByDesign} })
	p.OffSpeeds = notPassed(p.Speeds, "Settings in which the air may be too slow", mostNotPassed, func(r verifySpeed) []verifyMark { return []verifyMark{r.State} })
	p.OffPressures = notPassed(p.Pressures, "Suctions that do not pass", mostNotPassed, func(r verifyRow) []verifyMark { return []verifyMark{r.State} })
	p.Figures, p.FitsPrint = verifyFigures(d, u)
	p.Big = len(d.System.Ports) > report.MostPorts
	return p
}

func overallWord(v *Verification) (word, mark, class string) {
	switch overall(v) {
	case "pass":
		return "Accepted by the readings", "✓", "clear"
	case "fail":
		return "Not as designed", "✗", "faults"
	}
	return "Not all shown", "?", "unclear"
}

func newVerifyPort(v *Verification, l Line) verifyPort {
	p := verifyPort{Port: l.Where, Open: show.Briefly(l.Open), Flow: show.Numeral(l.Value.Value), Span: show.Minus(l.Value.Span()),
		Need: "–", Design: show.Numeral(l.Design), Least: show.Numeral(l.Least), ByDesign: markOf(l.Outcome)}
	if n := v.find("port-need", l.Where); n != nil {
		p.Need, p.ByNeed = show.Numeral(n.Least), markOf(n.Outcome)
	}
	return p
}

// verifyFigures draws the ducts, each with the slowest air that it has with the
// gates of one port open.
func verifyFigures(d *verify.Report, u units.System) (out []figure.TreeFigure, fits bool) {
	s := d.System
	alone := map[string]bool{}
	for _, l := range d.Lines {
		if l.Topic == verify.PortDesign {
			alone[l.Open.String()] = true
		}
	}
	worst := make([]*verify.Line, len(s.Ducts))
	for i := range d.Lines {
		l := &d.Lines[i]
		if l.Topic != verify.Carrying || !alone[l.Open.String()] {
			continue
		}
		if k, ok := s.DuctNamed(l.Where); ok && (worst[k] == nil || l.Value.Value < worst[k].Value.Value) {
			worst[k] = l
		}
	}
	class := func(i int) string {
		switch {
		case worst[i] == nil || worst[i].Outcome == verify.NotShown:
			return figure.Deviations[figure.Unread].Class
		case worst[i].Outcome == verify.Fail:
			return figure.Deviations[figure.Less].Class
		}
		return figure.Deviations[figure.Same].Class
	}
	for _, wide := range [...]bool{true, false} {
		sheet := drawing.Sheet{Sys: s, Wide: wide, Size: func(i int) string { return figure.DuctSize(&s.Ducts[i], u) },
			Notes: func(i int) []drawing.Note {
				if worst[i] == nil {
					return nil
				}
				sign := map[verify.Outcome]string{verify.Pass: "✓ ", verify.Fail: "▼ "}[worst[i].Outcome]
				if sign == "" {
					sign = "? "
				}
				return []drawing.Note{{Text: sign + show.Symbol(units.Format(worst[i].Value.Value, units.Velocity, u)) + " with " + show.Briefly(worst[i].Open.String()), Class: class(i)}}
			}}
		laid := drawing.Layout(sheet)
		fits = fits || wide && figure.Fits(laid)
		out = append(out, figure.NewTreeFigures(laid, figure.Tint{Class: class}, "The duct system with the slowest air in each duct",
			fmt.Sprintf("A tree of %d ducts with %d ports; at each duct stands its slowest air with one port open. The table of settings says the same in words.", len(s.Ducts), len(s.Ports)), wide)...)
	}
	return out, fits
}
