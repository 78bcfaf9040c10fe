package tracked

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"lostair/report"
	"lostair/report/layout"
	"lostair/report/show"
	"lostair/report/text"
)

// Text tells a history to a person.
func Text(w io.Writer, t *Tracked, s show.Style) error {
	p := show.NewPage(s)
	p.Para("", report.NameOf(t.System), show.Bold)
	p.Para("", t.span(), show.PlainText)
	p.Blank()
	for _, x := range t.Summary {
		lead := "* "
		if len(t.Summary) == 1 && len(t.Signals) == 0 {
			lead = ""
		}
		p.Para(lead, x, trackColor(t))
	}
	trackSeries(p, t)
	trackWrong(p, t)
	trackNewest(p, t)
	text.Doubts(p, &report.Result{Doubts: t.Doubts})
	p.Heading("How this was calculated")
	for _, m := range trackMethod(t) {
		p.Para("* ", m, show.PlainText)
	}
	text.Cautions(p, &report.Result{Cautions: t.Cautions})
	return p.Write(w)
}

func trackColor(t *Tracked) string {
	if len(t.Signals) == 0 && t.compared() {
		return show.Good
	}
	return show.Doubtful
}

// span says which surveys there are.
func (t *Tracked) span() string {
	n, ref := len(t.Surveys), 0
	for _, s := range t.Surveys {
		if s.Reference {
			ref++
		}
	}
	first, last, early := t.Surveys[0].Date, t.Surveys[n-1].Date, true
	for i, s := range t.Surveys {
		first, last = min(first, s.Date), max(last, s.Date)
		early = early && (i == 0 || s.Date >= t.Surveys[i-1].Date)
	}
	s := fmt.Sprintf("%s of %s", show.Plural(n, "survey"), first)
	if last > first {
		s = fmt.Sprintf("%s from %s to %s", show.Plural(n, "survey"), first, last)
		s += fmt.Sprintf(", about %s a year", show.Shown(math.Round(t.PerYear)))
	}
	stand := fmt.Sprintf("the first %d stand", ref)
	switch {
	case early && ref == 1:
		stand = "the first stands"
	case ref == 1:
		stand = "one of them stands"
	case !early:
		stand = fmt.Sprintf("%d of them stand", ref)
	}
	return s + "; " + stand + " for the sound system"
}

// mostSteady is how many indicators that have not moved are shown.
const mostSteady = 30

// Cells that a small chart takes at most, and those that the rest of its row takes.
const (
	sparkCells = 24
	restCells  = 56
)

func trackSeries(p *show.Page, t *Tracked) {
	p.Heading("Everything that is followed")
	tab := layout.Table{Columns: []layout.Column{{Head: "indicator", Least: 16}, {Head: "over time"}, {Head: "now", Right: true}, {Head: "9 in 10 sure", Right: true}, {Head: "", Least: 6}}}
	var marks []string
	left := 0
	for _, s := range t.inOrder() {
		if s.Signal < 0 && (len(tab.Rows) >= mostSteady || s.place()) {
			left++
			continue
		}
		v, state := s.last(), t.stateOf(s)
		marks = append(marks, state)
		tab.Rows = append(tab.Rows, []string{s.Name, sparkline(s, p.Style.Plain, min(max(p.Style.Width-restCells, 6), sparkCells)), strings.TrimSpace(show.Even(v.Value) + " " + shortUnit(v.Unit)), v.Span(), state})
	}
	p.Table("", tab, func(row, column int) string {
		if column != 4 {
			return show.PlainText
		}
		switch marks[row] {
		case "in limits":
			return show.Good
		case "over", "":
			return show.PlainText
		}
		return show.Bad
	})
	if left > 0 && t.compared() {
		p.Para("", fmt.Sprintf("%d places where a leak or something in the way would show, and others, are within their limits (--format csv has them all).", left), show.PlainText)
	}
}

// inOrder is what has moved, causes first, and then the rest; what no survey
// tells of is left out.
func (t *Tracked) inOrder() []Series {
	var out []Series
	for _, s := range t.Signals {
		out = append(out, t.Series[s.Series])
	}
	for _, s := range t.Series {
		if s.Signal < 0 {
			out = append(out, s)
		}
	}
	return slices.DeleteFunc(out, func(s Series) bool { return s.last() == nil })
}

// place says whether a series is one of the many places that may leak or clog.
func (s Series) place() bool { return s.Gauge == "leak-area" || s.Gauge == "in-the-way" }

func shortUnit(u string) string {
	if u == "x" {
		return ""
	}
	return u
}

// sparkline draws a series in a line of text, scaled so that its control
// limits fill it: what is noise looks like it.
func sparkline(s Series, plain bool, most int) string {
	steps := []rune("▁▂▃▄▅▆▇█")
	if plain {
		steps = []rune("_.-~=+*#")
	}
	lo, hi := s.reach()
	n := len(s.Points)
	cells := min(n, most)
	var b strings.Builder
	for c := range cells {
		sum, k := 0.0, 0
		for i := c * n / cells; i < (c+1)*n/cells; i++ {
			if v := s.Points[i].Value; v != nil {
				sum, k = sum+v.Value, k+1
			}
		}
		if k == 0 {
			b.WriteByte(' ')
			continue
		}
		x := (sum/float64(k) - lo) / (hi - lo)
		b.WriteRune(steps[min(max(int(x*float64(len(steps))), 0), len(steps)-1)])
	}
	return b.String()
}

// reach is the scale of a series: its values and its limits with some room.
func (s Series) reach() (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, p := range s.Points {
		if p.Value != nil {
			lo, hi = math.Min(lo, p.Value.Value), math.Max(hi, p.Value.Value)
		}
		if p.Lower != nil {
			room := (*p.Upper - *p.Lower) / 2
			lo, hi = math.Min(lo, *p.Lower-room), math.Max(hi, *p.Upper+room)
		}
	}
	if !(hi > lo) {
		return lo - 1, lo + 1
	}
	return lo, hi
}

// mostWrong is how many rows that were set aside are shown.
const mostWrong = 10

func trackWrong(p *show.Page, t *Tracked) {
	all := t.wrongText()
	if len(all) == 0 {
		return
	}
	p.Heading("Rows that were set aside")
	for i, s := range all {
		if i == mostWrong {
			p.Para("", fmt.Sprintf("and %d more (--format json lists them).", len(all)-mostWrong), show.PlainText)
			break
		}
		p.Para("* ", s, show.PlainText)
	}
}

// wrongText is each row that was set aside, in words, the newest first.
func (t *Tracked) wrongText() []string {
	var out []string
	for i := len(t.Surveys) - 1; i >= 0; i-- {
		for _, w := range t.Surveys[i].Wrong {
			out = append(out, fmt.Sprintf("%s line %d, %s at %s: %s; about %s would fit. %s.", w.File, w.Line, show.Quantity(w.Quantity), w.Point,
				strings.TrimSpace(w.Value+" "+w.Unit), show.WithUnit(w.Fits, w.Unit), show.Title(w.Why)))
		}
	}
	return out
}

// onsets are the surveys before the newest that were diagnosed in full, in words.
func (t *Tracked) onsets() []string {
	var out []string
	for i, s := range t.Surveys {
		if s.Full != nil && i < len(t.Surveys)-1 {
			out = append(out, s.Date+": "+s.Full.Summary)
		}
	}
	return out
}

func trackNewest(p *show.Page, t *Tracked) {
	if x := t.onsets(); len(x) > 0 {
		p.Heading("Surveys in which something was first seen, diagnosed in full")
		for _, s := range x {
			p.Para("* ", s, show.PlainText)
		}
	}
	if t.Diagnosis == nil {
		return
	}
	p.Heading("The newest survey, diagnosed in full")
	p.Para("", t.Diagnosis.Summary, text.VerdictColor(t.Diagnosis))
	for _, f := range t.Diagnosis.Faults {
		p.Para("* ", faultLine(f), show.PlainText)
	}
}

// faultLine is a fault in a line: how sure, how bad, what to do.
func faultLine(f report.Fault) string {
	s := fmt.Sprintf("%s, %s", show.Title(f.Name), show.Percent(f.Probability))
	if len(f.Alike) > 0 {
		s = fmt.Sprintf("%s (%s) or what looks the same, %s", show.Title(f.Name), show.Percent(f.Probability), show.Percent(f.Together))
	}
	if f.HowBad != "" {
		s += "; " + f.HowBad
	}
	return s + ". " + f.Do
}

// trackMethod says how it was calculated.
func trackMethod(t *Tracked) []string {
	return []string{
		t.referenceWords(),
		"Each survey is fitted by the model of the system file as the reference surveys have corrected it. What all surveys have in common, an error of the file included, falls out.",
		"An episode is a fault that comes and goes once: each place is weighed by what all surveys say of it together, with a severity that moves little from one to the next. A place that can't be told apart from another is listed with it.",
		"Values are changes from the reference; leaks are open area beyond what it had. Beside them stands the interval in which they lie with 90 %.",
		"Something has moved when its weighted moving average (EWMA) or its cumulative sum (CUSUM) leaves limits set so that a sound system gives a false signal in fewer than one year of a hundred. The same change shows in several indicators: that which explains most is named first, others only if they explain what is left.",
		"When it began and how fast it goes follow from a straight line (of ratios: in the logarithm) through the surveys since the last step. The date at which a limit is reached allows for what is not known of the limit and of the pace, and for a filter that loads evenly or ever faster.",
		t.fullWords(),
	}
}

// referenceWords says what everything is held against.
func (t *Tracked) referenceWords() string {
	n := 0
	for _, s := range t.Surveys {
		if s.Reference {
			n++
		}
	}
	which, those := fmt.Sprintf("The first %d surveys stand", n), "them"
	if n == 1 {
		which, those = "The first survey stands", "it"
	}
	return which + " for the sound system, and every later one is held against " + those + ": what was wrong then already does not show. Choose others with --reference, or give sound ones with --baseline (after a repair, say)."
}

// fullWords says which surveys were diagnosed in full.
func (t *Tracked) fullWords() string {
	var dates []string
	for _, s := range t.Surveys {
		if s.Full != nil {
			dates = append(dates, s.Date)
		}
	}
	if len(dates) == 0 {
		return "No survey was diagnosed in full; each went through a quick linear fit."
	}
	which := "the newest survey"
	if len(dates) > 1 {
		which = show.Listed(dates) + ", where something was first seen, and the newest"
	}
	return "Diagnosed in full, as lostair diagnose does with the reference as baseline: " + which + ". The others went through a quick linear fit."
}
