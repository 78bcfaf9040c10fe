package bench

import (
	"fmt"
	"html/template"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"lostair/cmd/internal/bench/desk"
	"lostair/cmd/internal/bench/pages"
	"lostair/cmd/internal/bench/rounds"
	"lostair/cmd/internal/bench/tell"
	"lostair/diagnose/duct"
	"lostair/readings"
	"lostair/report"
	"lostair/report/drawing"
	"lostair/report/guided"
)

type answerView struct {
	Surveys  []pages.Chip
	Sounds   []pages.Chip
	Survey   string
	Sound    string
	Class    string
	Stamp    string
	Summary  string
	Picture  *tell.Picture
	Suspects []pages.Suspect
	Others   []pages.Suspect
	First    *doView
	Then     []doView
	Small    []string
	Wrong    []string // readings that look wrong
	Next     []string
	Ports    []portView
	Readings []checkView
	Doubts   []string
	Cautions []string
	Query    template.URL
	Problems []pages.Telling
	Chosen   string
	Light    *lightView
	Provable bool // by reading again
}

type doView struct {
	Do    string
	Gains []string
	Hint  string
	Did   template.URL // the question that says it was done
}

type portView struct {
	Port, Open, Text, State string
	Class                   string
	Now, Need               int // per cent of the scale
}

type checkView struct {
	What, Read, Want, Say string
	Off                   bool
}

// lightView is one suspect in the light.
type lightView struct {
	Name, Where string
	Readings    []checkView
	Rivals      []string
	Do          string
}

func (s *shop) answer(d *desk.Desk) error {
	if _, err := d.System(); err != nil {
		return err
	}
	v := &answerView{}
	names := d.Readable()
	if len(names) == 0 {
		return d.Show(http.StatusOK, "answer", "Answer", v)
	}
	v.Survey = d.Form("survey")
	if !slices.Contains(names, v.Survey) {
		v.Survey = names[0]
	}
	v.Sound = d.Form("sound")
	if _, said := d.Request.Form["sound"]; !said {
		v.Sound = desk.OfAGoodDay(names)
	}
	if v.Sound == v.Survey || v.Sound != "" && !slices.Contains(names, v.Sound) {
		v.Sound = ""
	}
	for _, n := range names[:min(len(names), 30)] {
		v.Surveys = append(v.Surveys, pages.Chip{Value: n, Text: n, Chosen: n == v.Survey})
		if n != v.Survey {
			v.Sounds = append(v.Sounds, pages.Chip{Value: n, Text: n, Chosen: n == v.Sound})
		}
	}
	v.Query = template.URL(url.Values{"survey": {v.Survey}, "sound": {v.Sound}}.Encode())
	a, err := d.Diagnosis(v.Survey, v.Sound)
	if err != nil {
		if d.Context().Err() != nil {
			return err
		}
		v.Problems = desk.Tellings(err)
		return d.Show(http.StatusOK, "answer", "Answer", v)
	}
	fill(d, v, a)
	v.Provable = rounds.Provable(a)
	return d.Show(http.StatusOK, "answer", "Answer", v)
}

func fill(d *desk.Desk, v *answerView, a *desk.Answered) {
	r := a.Shown
	v.Class = r.Verdict
	v.Stamp = map[string]string{"faults": "Fault found", "clear": "Sound", "unclear": "Unclear"}[r.Verdict]
	v.Summary, v.Small = r.Answer.Broken, []string{r.Answer.TooSmall}
	marks := map[string][]tell.Lit{}
	found, _, rows := report.Sorted(r.Faults)
	for _, f := range rows {
		v.Wrong = append(v.Wrong, wrongWords(f))
	}
	for i, f := range found {
		n := fmt.Sprint(i + 1)
		x := pages.Suspect{N: n, Name: f.Name, Chance: guided.Chance(f.Together), Share: f.Together, Where: f.Where, Kind: f.Kind}
		if len(r.Answer.Where) == len(found) {
			x.Name = r.Answer.Where[i]
		}
		group := append([]report.Candidate{f.Candidate}, f.Alike...)
		if len(group) > 1 {
			for _, c := range group {
				x.Members = append(x.Members, pages.Suspect{Name: c.Name, Chance: guided.Chance(f.Shown(c)), Share: f.Shown(c)})
			}
		}
		v.Suspects = append(v.Suspects, x)
		for j, place := range placesOf(d, a.SI.System, group) {
			m := tell.Lit{Class: "suspect"}
			if j == 0 {
				m.Badge, m.Spot = n, badgeSpot(a.SI.System, f.Candidate)
			}
			marks[place] = append(marks[place], m)
		}
		if d.Form("light") == n {
			v.Light = lightOf(f)
		}
	}
	for _, x := range r.TooSmall {
		v.Small = append(v.Small, smallText(x))
	}
	if r.Answer.Read != "" {
		v.Next = append(v.Next, r.Answer.Read)
	}
	for _, c := range r.Candidates {
		if c.Probability >= 0.02 && len(v.Others) < 6 && !asserted(r, c) {
			v.Others = append(v.Others, pages.Suspect{Name: c.Name, Chance: guided.Chance(c.Probability), Share: c.Probability})
		}
	}
	q := v.Query
	v.Picture = tell.DrawSystem(a.SI.System, a.Units, func(id string) string {
		for i, f := range found {
			if slices.Contains(placesOf(d, a.SI.System, append([]report.Candidate{f.Candidate}, f.Alike...)), id) {
				return fmt.Sprintf("%s/answer?%s&light=%s#light", d.Base, q, fmt.Sprint(i+1))
			}
		}
		return d.Base + "/shop?run=" + url.QueryEscape(id) + "#run"
	}, marks)
	for i, f := range r.Fixes {
		x := doView{Do: f.Do, Hint: f.Hint}
		for _, g := range f.Gains {
			if len(x.Gains) == 4 {
				break
			}
			if g.After != nil {
				x.Gains = append(x.Gains, fmt.Sprintf("%s: %s now, then %s %s", g.Port, pages.Short(g.Before), pages.Short(g.After.Value), pages.Symbol(g.After.Unit)))
			}
		}
		if len(f.For) > 0 {
			x.Did = template.URL(url.Values{"did": {"yes"}, "kind": {f.For[0].Kind}, "where": {f.For[0].Where}}.Encode())
		}
		if i == 0 {
			v.First = &x
		} else {
			v.Then = append(v.Then, x)
		}
	}
	v.Ports = portViews(r)
	for _, c := range r.Checks {
		v.Readings = append(v.Readings, checkOf(c))
	}
	v.Doubts, v.Cautions = r.Doubts, r.Cautions
}

// wrongWords says which reading looks wrong, and what would fit.
func wrongWords(f report.Fault) string {
	t := f.Name
	if f.Row != nil {
		t = fmt.Sprintf("Line %d, %s with %s: %s %s looks wrong", f.Row.Line, f.Row.Point, guided.Open(f.Row.Open), pages.Minus(f.Row.Value), pages.Symbol(f.Row.Unit))
	}
	if f.Severity != nil {
		t += fmt.Sprintf("; %s %s would fit", pages.Minus(pages.Short(f.Severity.Value)), pages.Symbol(f.Severity.Unit))
	}
	if f.Why != "" {
		t += ": " + f.Why
	}
	return t + "."
}

// asserted says whether a candidate stands among the faults, alone or in a group.
func asserted(r *report.Result, c report.Candidate) bool {
	same := func(x report.Candidate) bool { return x.Kind == c.Kind && x.Where == c.Where }
	return slices.ContainsFunc(r.Faults, func(f report.Fault) bool { return same(f.Candidate) || slices.ContainsFunc(f.Alike, same) })
}

// smallText says what is too small, and what to buy.
func smallText(x report.TooSmall) string {
	t := fmt.Sprintf("%s (%s)", x.Port, guided.Chance(x.Probability))
	if x.Buy == nil || x.Then == nil {
		return t + ": no wider size brings more."
	}
	t += fmt.Sprintf(": with %s %s in place of %s it gets %s of the %s %s it needs", pages.Short(x.Buy.Value), pages.Symbol(x.Buy.Unit), strings.Join(x.Ducts, ", "), pages.Short(x.Then.Value), pages.Short(x.Need), pages.Symbol(x.Then.Unit))
	if !x.Meets {
		t += ", which is still too little"
	}
	if s := x.Slow; s != nil {
		t += fmt.Sprintf("; the air in %s then moves at %s %s only, and needs %s to carry its dust", s.Duct, pages.Short(s.Velocity.Value), pages.Symbol(s.Velocity.Unit), pages.Short(s.Least.Value))
	}
	return t + "."
}

func checkOf(c report.Check) checkView {
	x := checkView{What: fmt.Sprintf("%s, %s, %s", c.Point, strings.ReplaceAll(c.Quantity, "_", " "), guided.Open(c.Open)),
		Read: pages.Minus(pages.Short(c.Measured)) + " " + pages.Symbol(c.Unit), Want: pages.Minus(pages.Short(c.Expected)) + " " + pages.Symbol(c.Unit)}
	switch z := (c.Measured - c.Expected) / max(c.Sigma, 1e-12); {
	case c.Wrong:
		x.Say, x.Off = "looks wrong", true
	case z > 3 || z < -3:
		x.Say, x.Off = "far off", true
	case z > 2 || z < -2:
		x.Say, x.Off = "off", true
	default:
		x.Say = "as sound"
	}
	return x
}

func lightOf(f report.Fault) *lightView {
	l := &lightView{Name: f.Name, Where: f.Zone, Do: f.Do}
	for _, e := range f.Evidence {
		if len(l.Readings) == 6 {
			break
		}
		l.Readings = append(l.Readings, checkView{What: fmt.Sprintf("%s, %s", e.Point, guided.Open(e.Open)), Read: pages.Minus(pages.Short(e.Measured)) + " " + pages.Symbol(e.Unit),
			Want: pages.Minus(pages.Short(e.Sound)), Say: pages.Minus(pages.Short(e.WithFault))})
	}
	for _, c := range f.Alike {
		l.Rivals = append(l.Rivals, c.Name)
	}
	return l
}

// placesOf are the runs, or parts of the collector, at which suspects are.
func placesOf(d *desk.Desk, sys *duct.System, list []report.Candidate) []string {
	var out []string
	put := func(id string) {
		if !slices.Contains(out, id) {
			out = append(out, id)
		}
	}
	for _, c := range list {
		switch {
		case c.Kind == "reading-wrong":
		case strings.HasPrefix(c.Kind, "gate-"):
			for _, x := range sys.Ducts {
				if x.Gate == c.Where {
					put(x.ID)
				}
			}
		default:
			if _, ok := sys.DuctNamed(c.Where); ok {
				put(c.Where)
			} else if p, ok := sys.PortNamed(c.Where); ok {
				put(sys.Ducts[sys.Ports[p].Duct].ID)
			} else {
				put(c.Where)
			}
		}
	}
	return out
}

// badgeSpot is where on its duct a suspect sits.
func badgeSpot(sys *duct.System, c report.Candidate) drawing.Spot {
	if strings.HasPrefix(c.Kind, "gate-") {
		return drawing.AtGate
	}
	if _, ok := sys.DuctNamed(c.Where); ok {
		return drawing.Along
	}
	return drawing.AtPort
}

// portViews are the ports with their own gate open, or else in the first setting
// that was read.
func portViews(r *report.Result) []portView {
	var out []portView
	seen := map[string]bool{}
	for _, own := range []bool{true, false} {
		for _, p := range r.Ports {
			if seen[p.Port] || p.Flow == nil || own && strings.Contains(p.Open, "+") || own && p.Open == "all" {
				continue
			}
			seen[p.Port] = true
			x := portView{Port: p.Port, Open: guided.Open(p.Open), Text: fmt.Sprintf("%s %s", pages.Short(p.Flow.Value), pages.Symbol(p.Flow.Unit))}
			most := max(p.Flow.Value, p.Need) * 1.15
			if p.Expected != nil {
				most = max(most, *p.Expected*1.15)
			}
			if most > 0 {
				x.Now, x.Need = int(100*p.Flow.Value/most), int(100*p.Need/most)
			}
			switch {
			case p.Need == 0:
				x.State = "no need is stated"
			case p.Flow.Value >= p.Need:
				x.State, x.Class = fmt.Sprintf("enough: it needs %s", pages.Short(p.Need)), "good"
			default:
				x.State, x.Class = fmt.Sprintf("too little: it needs %s", pages.Short(p.Need)), "short"
			}
			out = append(out, x)
		}
	}
	return out
}

// report shows the whole report, as lostair diagnose --format html does.
func (s *shop) report(d *desk.Desk) error {
	survey, sound := d.Form("survey"), d.Form("sound")
	if names := d.Readable(); survey == "" && len(names) > 0 {
		survey = names[0]
	}
	a, err := d.Diagnosis(survey, sound)
	if err != nil {
		return err
	}
	page, err := a.Page()
	if err != nil {
		return err
	}
	return d.ShowReport(page)
}

type whatIfView struct {
	Keys     []pages.Chip
	Values   []string
	Open     string
	Slide    *slide // of the key that is chosen; nil: its values have no order
	Value    string
	Gates    []pages.Chip
	Result   *comparison
	Rows     []beforeAfter
	Others   int
	Problems []pages.Telling
	Sets     []string
	Query    string
	Kinds    []kindView
	Places   []string
}

type kindView struct{ Key, Say, Unit string }

type beforeAfter struct {
	Where, What, Before, After, Least, Say, Class string
}

// whatIf shows the shop before and after changes.
func (s *shop) whatIf(d *desk.Desk) error {
	sys, err := d.System()
	if err != nil {
		return err
	}
	v := &whatIfView{Open: d.Form("open")}
	for _, x := range d.Request.Form["set"] {
		if x = strings.TrimSpace(x); x != "" && len(v.Sets) < 20 {
			v.Sets = append(v.Sets, x)
		}
	}
	key, val := d.Form("key"), d.Form("value")
	v.Slide = slideOf(sys, key, val)
	if val == "" && v.Slide != nil && d.Form("slide") != "" { // without script a slider sends its place
		val = v.Slide.at(d.Form("slide"))
	}
	if v.Value = val; key != "" && val != "" { // in place of what it was before
		v.Sets = append(slices.DeleteFunc(v.Sets, func(x string) bool { return strings.HasPrefix(x, key+"=") }), key+"="+val)
	}
	if gates := d.Request.Form["gate"]; len(gates) > 0 {
		slices.Sort(gates)
		v.Open = strings.Join(slices.Compact(gates), "+")
	}
	var open []readings.Open
	if v.Open != "" {
		o, err := readings.ParseOpen(v.Open)
		if err != nil {
			v.Problems = desk.Tellings(err)
		} else {
			open = []readings.Open{o}
		}
	}
	for _, g := range sys.Gates() {
		v.Gates = append(v.Gates, pages.Chip{Value: g, Text: g, Chosen: slices.Contains(strings.Split(v.Open, "+"), g)})
	}
	keys, what := whatIfKeys(sys)
	for i, k := range keys {
		v.Keys = append(v.Keys, pages.Chip{Value: k, Text: k, Note: what[i], Chosen: k == key})
	}
	if len(v.Sets) > 0 && len(v.Problems) == 0 {
		x, err := compared(d.Context(), sys, v.Sets, open)
		if err != nil {
			v.Problems = desk.Tellings(err)
			for i := range v.Problems {
				v.Problems[i].Place = ""
			}
			if key != "" && val != "" {
				v.Sets = v.Sets[:len(v.Sets)-1]
			}
		} else {
			v.Result = x
			v.Rows, v.Others = beforeAfters(x)
		}
	}
	return d.Show(http.StatusOK, "answer-whatif", "What if", v)
}

// beforeAfters are the ports, and of the rest what reaches its least no more, or
// now does.
func beforeAfters(x *comparison) (out []beforeAfter, others int) {
	for _, s := range x.Settings {
		for _, r := range s.Rows {
			b := beforeAfter{Where: r.Where, What: strings.ReplaceAll(r.Quantity, "_", " ") + ", " + guided.Open(s.Open), Before: pages.Minus(pages.Short(r.Before)), After: pages.Minus(pages.Short(r.After)) + " " + pages.Symbol(r.Unit)}
			if r.Least > 0 {
				b.Least = pages.Short(r.Least)
				was, is := r.Before >= r.Least, r.After >= r.Least
				switch {
				case !was && is:
					b.Say, b.Class = "now enough", "goodtext"
				case was && !is:
					b.Say, b.Class = "now too little", "badtext"
				case !is:
					b.Say, b.Class = "too little", "badtext"
				default:
					b.Say = "enough"
				}
			}
			if r.What == "port" || r.What == "duct" && strings.HasPrefix(b.Say, "now") {
				out = append(out, b)
			} else {
				others++
			}
		}
	}
	return out, others
}
