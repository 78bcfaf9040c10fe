package verified

import (
	"fmt"
	"io"
	"math"
	"slices"
	"sort"
	"strings"

	"lostair/report"
	"lostair/report/layout"
	"lostair/report/show"
	"lostair/report/text"
)

// Text tells a verification to a person.
func Text(w io.Writer, v *Verification, s show.Style) error {
	p := show.NewPage(s)
	p.Para("", report.NameOf(v.System), show.Bold)
	p.Para("", "Check against design, from "+report.ReadFrom(&report.Result{Survey: v.Survey}), show.PlainText)
	p.Blank()
	p.Para("1. The design. ", v.Design, show.PlainText)
	verifyBuilt(p, v)
	p.Para("3. The demands. ", v.Summary+" "+v.countsWords(), outcomeColor(overall(v)))
	if !v.Untold {
		verifyPorts(p, v)
		verifySpeeds(p, v)
		verifyCarry(p, v)
		verifyPressures(p, v)
		verifyCollector(p, v)
		verifySizes(p, v)
		verifyFaults(p, v)
		verifyOpen(p, v)
	}
	p.Heading("How this was judged")
	for _, m := range v.Method {
		p.Para("* ", m, show.PlainText)
	}
	for _, i := range v.Instruments {
		p.Para("* ", meterWords(i), show.PlainText)
	}
	text.Cautions(p, &report.Result{Cautions: v.Cautions})
	return p.Write(w)
}

// verifyBuilt says whether it was built as designed.
func verifyBuilt(p *show.Page, v *Verification) {
	const lead = "2. As built. "
	switch {
	case v.Untold:
		p.Para(lead, "The readings don't show it.", show.Doubtful)
	case len(v.Built) == 0:
		p.Para(lead, "Nothing that these readings show differs from the design.", show.Good)
	default:
		p.Para(lead, "It differs from the design:", show.Doubtful)
		for _, b := range v.Built {
			p.Para("   * ", b, show.PlainText)
		}
	}
}

// countsWords counts the demands by outcome.
func (v *Verification) countsWords() string {
	s := fmt.Sprintf("Of %d demands %d pass, %d fail and %d are not shown by these readings.", v.Passed+v.Failed+v.NotShown, v.Passed, v.Failed, v.NotShown)
	if v.FailedByDesign > 0 {
		s += fmt.Sprintf(" %d of the %d that fail are the design's own.", v.FailedByDesign, v.Failed)
	}
	return s
}

// overall is the outcome of all lines together.
func overall(v *Verification) string {
	switch {
	case v.Failed > 0:
		return "fail"
	case v.NotShown > 0:
		return "not shown"
	}
	return "pass"
}

func outcomeColor(o string) string {
	switch o {
	case "pass":
		return show.Good
	case "fail":
		return show.Bad
	}
	return show.Doubtful
}

// outcomeWord is an outcome as a table shows it.
func outcomeWord(o string) string {
	if o == "fail" {
		return "FAIL"
	}
	return o
}

func unitOf(lines []Line) string {
	for _, l := range lines {
		if l.Value != nil {
			return ", in " + l.Value.Unit
		}
	}
	return ""
}

func verifyPorts(p *show.Page, v *Verification) {
	ports := v.of("port-design")
	if len(ports) == 0 {
		return
	}
	p.Heading("Air at the ports, each with its own gates open" + unitOf(ports))
	ports, left := v.portsInNeed(ports)
	t := layout.Table{Columns: []layout.Column{{Head: "port", Least: 8}, {Head: "flow", Right: true}, {Head: "9 in 10 sure", Right: true}, {Head: "need", Right: true}, {Head: ""},
		{Head: "design", Right: true}, {Head: fmt.Sprintf("-%.0f %%", 100*v.Tolerance), Right: true}, {Head: ""}}}
	var marks [][2]string
	for _, l := range ports {
		if l.Value == nil {
			continue
		}
		need, word := "-", ""
		var m [2]string
		if n := v.find("port-need", l.Where); n != nil {
			need, word, m[0] = show.Shown(n.Least), outcomeWord(n.Outcome), n.Outcome
		}
		m[1] = l.Outcome
		marks = append(marks, m)
		t.Rows = append(t.Rows, []string{l.Where, show.Shown(l.Value.Value), l.Value.Span(), need, word, show.Shown(l.Design), show.Shown(l.Least), outcomeWord(l.Outcome)})
	}
	p.Table("", t, func(row, column int) string {
		switch column {
		case 4:
			return outcomeColor(marks[row][0])
		case 7:
			return outcomeColor(marks[row][1])
		}
		return show.PlainText
	})
	if left > 0 {
		p.Para("", fmt.Sprintf("%s pass.", show.Plural(left, "more port")), show.PlainText)
	}
}

// portsInNeed are, of the ports of a large plant, those that don't pass both
// ways, and how many do.
func (v *Verification) portsInNeed(ports []Line) (some []Line, left int) {
	if len(ports) <= report.MostPorts {
		return ports, 0
	}
	for _, l := range ports {
		if n := v.find("port-need", l.Where); l.Outcome == "pass" && (n == nil || n.Outcome == "pass") {
			left++
			continue
		}
		some = append(some, l)
	}
	return some, left
}

func verifySpeeds(p *show.Page, v *Verification) {
	if len(v.speeds()) == 0 {
		return
	}
	p.Heading("Does the air carry the dust?")
	p.Para("", fmt.Sprintf("It must move at %s or more in a branch and %s in a main, %s.", show.WithUnit(v.Convey.Branch.Value, v.Convey.Branch.Unit), show.WithUnit(v.Convey.Main.Value, v.Convey.Main.Unit), v.Convey.Source), show.PlainText)
	all, rest := v.firstSpeeds()
	if len(all) > report.MostPorts {
		sort.SliceStable(all, func(a, b int) bool { return all[a].worst() < all[b].worst() })
		rest = append([]string{moreSpeeds(all[mostWorst:])}, rest...)
		all = all[:mostWorst]
	}
	t := layout.Table{Columns: []layout.Column{{Head: "gates open", Least: 12}, {Head: "ducts", Right: true}, {Head: ""}, {Head: "too slow, or may be", Least: 20}}}
	for _, s := range all {
		t.Rows = append(t.Rows, []string{show.Briefly(s.open), fmt.Sprint(s.pass + s.fail + s.unsure), outcomeWord(s.outcome()), slowWords(s.slow)})
	}
	p.Table("", t, func(row, column int) string {
		if column == 2 {
			return outcomeColor(all[row].outcome())
		}
		return show.PlainText
	})
	for _, x := range rest {
		p.Para("", x, show.PlainText)
	}
}

// mostWorst is how many lines of a large plant a table shows, the worst.
const mostWorst = 20

// counted says how many pass, fail and are not shown, of those that there are.
func counted(by map[string]int, pass, fail, unsure string) string {
	var parts []string
	for _, x := range []struct{ outcome, words string }{{"pass", pass}, {"fail", fail}, {"not shown", unsure}} {
		if n := by[x.outcome]; n > 0 {
			parts = append(parts, fmt.Sprintf(x.words, n))
		}
	}
	return show.Listed(parts)
}

// moreSpeeds says how the settings come out that a table has no room for.
func moreSpeeds(list []settingSpeeds) string {
	by := map[string]int{}
	for i := range list {
		by[list[i].outcome()]++
	}
	return fmt.Sprintf("Of %s %s (--format html lists them).", show.Plural(len(list), "more setting"),
		counted(by, "%d carry the dust all the way", "%d don't", "of %d it is not shown"))
}

// mostPairs is how many pairs nobody asked for a table shows.
const mostPairs = 5

// firstSpeeds are the settings that matter first: each port's gates alone, those
// that were named, all open, and of the pairs the worst. The others are named in
// a sentence by outcome.
func (v *Verification) firstSpeeds() (first []settingSpeeds, rest []string) {
	alone := map[string]bool{"all": true}
	for _, l := range v.of("port-design") {
		alone[l.Open] = true
	}
	for _, o := range v.Asked {
		alone[o] = true
	}
	var pairs []settingSpeeds
	for _, s := range v.speeds() {
		if alone[s.open] {
			first = append(first, s)
		} else {
			pairs = append(pairs, s)
		}
	}
	sort.SliceStable(pairs, func(a, b int) bool { return pairs[a].worst() < pairs[b].worst() })
	by := map[string][]string{}
	for i, s := range pairs {
		if i < mostPairs && s.outcome() != "pass" {
			first = append(first, s)
			continue
		}
		by[s.outcome()] = append(by[s.outcome()], show.Briefly(s.open))
	}
	for _, o := range []struct{ outcome, words string }{{"fail", "Too slow somewhere as well with"}, {"not shown", "Not shown with"}, {"pass", "Carried all the way with"}} {
		if n := by[o.outcome]; len(n) > 0 {
			rest = append(rest, fmt.Sprintf("%s %s.", o.words, show.Few(n)))
		}
	}
	return first, rest
}

// mostSlow is how many slow ducts a row names.
const mostSlow = 4

func slowWords(slow []Line) string {
	var parts []string
	for i, l := range slow {
		if i == mostSlow {
			parts = append(parts, fmt.Sprintf("%d more", len(slow)-mostSlow))
			break
		}
		s := l.Where + " " + show.About(l.Value.Value)
		if l.Outcome != "fail" {
			s += "?"
		}
		parts = append(parts, s)
	}
	return strings.Join(parts, ", ")
}

func verifyCarry(p *show.Page, v *Verification) {
	if len(v.Carry) == 0 {
		return
	}
	p.Heading("What to open together, so that no dust lies in a main")
	p.Para("", carryLead(v), show.PlainText)
	for i, c := range v.Carry {
		if i == mostOpen {
			p.Para("", fmt.Sprintf("and %s (--format html lists them).", show.Plural(len(v.Carry)-mostOpen, "more gate")), show.PlainText)
			break
		}
		p.Para("* ", carryWords(c), show.PlainText)
	}
}

// carryLead says what the figures in brackets are.
func carryLead(v *Verification) string {
	return fmt.Sprintf("In brackets the air in the main, which must move at %s.", show.WithUnit(v.Convey.Main.Value, v.Convey.Main.Unit))
}

// carryWords says what one gate alone does, and what to open with it.
func carryWords(c CarryNeed) string {
	var slow []string
	for _, s := range c.Slow {
		slow = append(slow, fmt.Sprintf("%s (%s)", s.Duct, show.About(s.Velocity)))
	}
	s := fmt.Sprintf("%s alone leaves dust lying in %s.", c.Port, show.Few(slow))
	if strings.Contains(c.Open, "+") || c.Open == "all" {
		s = fmt.Sprintf("With %s open dust is left lying in %s.", show.Briefly(c.Open), show.Few(slow))
	}
	switch {
	case len(c.Together) > 0:
		s += fmt.Sprintf(" Open %s with it.", show.Listed(c.Together))
	case len(c.Clear) > 0:
		return s + fmt.Sprintf(" Opened with others it lacks air itself; after the work, with the machine idle, clear the main by opening %s.", show.Listed(c.Clear))
	default:
		return s + " No three gates put that right: the main is too wide for this fan and these ports."
	}
	if len(c.Short) > 0 {
		s += fmt.Sprintf(" Then %s less than needed: do it to clear the main, not while working.", show.GetsWords(c.Short))
	}
	return s
}

func verifyPressures(p *show.Page, v *Verification) {
	lines := v.of("pressure")
	if len(lines) == 0 {
		return
	}
	p.Heading(fmt.Sprintf("Suction at the taps, within %.0f %% of design", 100*v.Tolerance) + unitOf(lines))
	lines, left := worstOff(lines)
	t := layout.Table{Columns: []layout.Column{{Head: "tap", Least: 6}, {Head: "gates open", Least: 10}, {Head: "as built", Right: true}, {Head: "9 in 10 sure", Right: true}, {Head: "design", Right: true}, {Head: "differs", Right: true}, {Head: ""}}}
	for _, l := range lines {
		t.Rows = append(t.Rows, []string{l.Where, show.Briefly(l.Open), show.Even(l.Value.Value), show.EvenSpan(l.Value), show.Even(l.Design), show.ChangeOf(l.Design, l.Value.Value), outcomeWord(l.Outcome)})
	}
	p.Table("", t, func(row, column int) string {
		if column == 6 {
			return outcomeColor(lines[row].Outcome)
		}
		return show.PlainText
	})
	if left != "" {
		p.Para("", left, show.PlainText)
	}
}

// worstOff are, of the suctions of a large plant, those that differ most, and
// what to say of the others.
func worstOff(lines []Line) (some []Line, left string) {
	if len(lines) <= 4*report.MostPorts {
		return lines, ""
	}
	some = slices.Clone(lines)
	off := func(l Line) float64 {
		return math.Abs(math.Log(math.Max(l.Value.Value, 1) / math.Max(l.Design, 1)))
	}
	sort.SliceStable(some, func(a, b int) bool { return off(some[a]) > off(some[b]) })
	by := map[string]int{}
	for _, l := range some[report.MostPorts:] {
		by[l.Outcome]++
	}
	return some[:report.MostPorts], fmt.Sprintf("These differ most. Of %s %s (--format html lists them).",
		show.Plural(len(lines)-report.MostPorts, "more suction"), counted(by, "%d agree", "%d don't", "of %d it is not shown"))
}

func verifyCollector(p *show.Page, v *Verification) {
	p.Heading("Fan and filter")
	for _, l := range v.of("fan") {
		p.Para("* ", fanWords(l), outcomeColor(l.Outcome))
	}
	if v.Fan != nil {
		p.Para("* ", fanPlaceWords(*v.Fan), show.PlainText)
	}
	rooms := v.of("filter-room")
	if len(rooms) == 0 {
		return
	}
	p.Para("* ", roomWords(v), show.PlainText)
}

func fanWords(l Line) string {
	switch l.Outcome {
	case "pass":
		return "The fan runs on its curve: pass."
	case "fail":
		return "The fan does not reach its curve: FAIL."
	}
	return "Whether the fan runs on its curve is not shown."
}

func fanPlaceWords(f FanPlace) string {
	s := fmt.Sprintf("With %s it moves %s (%s) at %s",
		show.Gates(f.Open), show.WithUnit(f.Flow.Value, f.Flow.Unit), f.Flow.Span(), show.WithUnit(f.Pressure.Value, f.Pressure.Unit))
	if f.OfFree == 0 {
		return s + "."
	}
	return s + fmt.Sprintf(": %.0f %% of the flow at the end of its curve and %.0f %% of its highest pressure.", 100*f.OfFree, 100*f.OfPeak)
}

// mostBears is a load on the filter from which on its number says nothing more.
const mostBears = 10

// roomWords says what the filter may come to.
func roomWords(v *Verification) string {
	by := map[string][]string{}
	for _, l := range v.of("filter-room") {
		by[l.Outcome] = append(by[l.Outcome], l.Where)
	}
	s := fmt.Sprintf("With the filter at %s its clean drop", show.WithUnit(v.FilterTimes, "x"))
	var parts []string
	if n := by["pass"]; len(n) > 0 {
		parts = append(parts, show.GetsWords(n)+" enough (pass)")
	}
	if n := by["fail"]; len(n) > 0 {
		parts = append(parts, show.GetsWords(n)+" too little (FAIL)")
	}
	if n := by["not shown"]; len(n) > 0 {
		parts = append(parts, "it is not shown for "+show.Few(n))
	}
	s += " " + strings.Join(parts, "; ") + "."
	if v.Fan != nil && v.Fan.First != "" {
		if v.Fan.Bears >= mostBears {
			return s + " Even at ten times no port that has enough now falls short."
		}
		s += fmt.Sprintf(" The first of those that have enough now to fall short is %s, at %s.", v.Fan.First, show.WithUnit(v.Fan.Bears, "x"))
	}
	return s
}

func verifySizes(p *show.Page, v *Verification) {
	if len(v.Sizes) == 0 {
		return
	}
	p.Heading("Drops that are too small even without a fault")
	for _, x := range v.Sizes {
		p.Para("* ", v.sizeWords(x), show.PlainText)
	}
}

// sizeWords name a drop that is too small, and what to buy: a size that is made.
func (v *Verification) sizeWords(x SizeNeed) string {
	for _, t := range v.TooSmall {
		if t.Port == x.Port {
			return t.Words()
		}
	}
	return fmt.Sprintf("%s: %s costs the most; that it is too small is %s (%s).", x.Port, x.Duct, show.Chance(x.Probability), show.Percent(x.Probability))
}

func verifyFaults(p *show.Page, v *Verification) {
	p.Heading("Faults")
	for _, l := range v.of("no-fault") {
		p.Para("", soundWords(l), outcomeColor(l.Outcome))
	}
	for _, f := range v.notBuilt() {
		p.Para("* ", foundWords(f), show.PlainText)
	}
}

// foundWords name a fault, and what can't be told from it, with what to do.
func foundWords(f report.Fault) string {
	return fmt.Sprintf("%s, %s: %s", show.Title(f.Group()), show.Percent(f.Together), f.Do)
}

// notBuilt are the faults that aren't told with what differs from the design.
func (v *Verification) notBuilt() []report.Fault {
	var out []report.Fault
	for _, f := range v.Faults {
		if f.Kind == "reading-wrong" {
			out = append(out, f)
		}
	}
	return out
}

func soundWords(l Line) string {
	switch l.Outcome {
	case "pass":
		return fmt.Sprintf("No leak, blockage, stuck gate or the like: pass (%s).", show.Percent(l.Holds))
	case "fail":
		return fmt.Sprintf("Something is wrong that a sound install does not have: FAIL (%s that it is sound).", show.Percent(l.Holds))
	}
	return fmt.Sprintf("That nothing is wrong is not shown (sound with %s).", show.Percent(l.Holds))
}

// mostOpen is how many lines that are not shown are listed with what would show them.
const mostOpen = 12

func verifyOpen(p *show.Page, v *Verification) {
	list := v.toShow()
	if len(list) == 0 {
		return
	}
	p.Heading("What would show the rest")
	for i, s := range list {
		if i == mostOpen {
			p.Para("", fmt.Sprintf("and %s more (--format json lists them).", show.Plural(len(list)-mostOpen, "reading")), show.PlainText)
			break
		}
		p.Para("* ", s, show.PlainText)
	}
}

// toShow gathers the lines not shown by the reading that would show them.
func (v *Verification) toShow() []string {
	var order []string
	what := map[string][]string{}
	for _, l := range v.Lines {
		if l.Outcome != "not shown" || l.Show == "" {
			continue
		}
		if what[l.Show] == nil {
			order = append(order, l.Show)
		}
		name := topicWords(l)
		if n := what[l.Show]; len(n) == 0 || n[len(n)-1] != name {
			what[l.Show] = append(what[l.Show], name)
		}
	}
	var out []string
	for _, s := range order {
		out = append(out, fmt.Sprintf("Read %s, for %s.", s, show.Few(what[s])))
	}
	return out
}

func topicWords(l Line) string {
	switch l.Topic {
	case "port-need":
		return l.Where + "'s need"
	case "port-design":
		return l.Where + "'s flow by design"
	case "pressure":
		return "the suction at " + l.Where
	case "fan":
		return "the fan"
	case "no-fault":
		return "what is wrong, if anything"
	}
	if l.Topic == "carrying" {
		return "the speed in " + l.Where
	}
	return l.Where
}

func meterWords(i Instrument) string {
	return fmt.Sprintf("Instrument %s (%s): 95 in 100 readings lie within %s %% or %s of the true value, whichever is more.", i.ID, i.Measures, show.Shown(100*i.OfReading), show.WithUnit(i.Floor.Value, i.Floor.Unit))
}
