package html

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"lostair/diagnose"
	"lostair/readings/units"
	"lostair/report"
	"lostair/report/figure"
	"lostair/report/show"
	"lostair/report/text"
)

// htmlPage is what the template of the report needs.
type htmlPage struct {
	*report.Result
	Word, Mark string // the verdict in a word and a sign
	From       string
	Big        bool // so many ports that in print only what matters has room
	Suspects   []suspect
	Found      []found       // of those the first, for the top
	Short      []report.Port // fall short now and would not if sound
	Tree       string        // the way to the suspects, in characters
	ColourSays string        // what the readings leave, by duct
	Steps      []report.Fix
	Wrong      []report.Fault
	MayBe      []report.Written // was written down wrong; what probably was stands in the answer
	Others     []report.Candidate
	Overlap    string // why the chances of Others add up to more than 100 %, where they do
	Figures    []figure.TreeFigure
	Overview   []figure.TreeFigure // of a drawing that doesn't: what leads to suspects, the rest folded; nil: there is none
	FitsPrint  bool                // the drawing stands whole on the first page of a print
	Ducts      []ductRow
	Rows       []portRow
	Untold     string // why the readings tell no flows; "": they do
	FlowUnit   string
	Profiles   []profileView
	Dashed     string // what the second line of the profiles is called; "": there is none
	DashedSays string // and stands for
	LeftOut    int
	Readings   []checkRow
	Settings   []string // of many gates, called by their number

	CalmPorts, CalmReadings, CalmProfiles string // how many of each print leaves out; "": none
	Assumed                               []string
	Following                             []report.NextStep // what to read next
}

// checkRow is a reading in the table of all readings.
type checkRow struct {
	report.Check
	Class, Sign, Word string
	Half              string
}

func newHTMLPage(d *diagnose.Result, u units.System) *htmlPage {
	r := report.From(d, u)
	p := &htmlPage{Result: r, From: report.ReadFrom(r), Suspects: suspects(r), FlowUnit: show.Symbol(units.Flow.Symbol(u))}
	p.Word, p.Mark = verdictWord(r)
	p.Found, p.Short, p.Tree = foundOf(r), r.ShortNow(), text.Tree(r)
	_, _, p.Wrong = report.Sorted(r.Faults)
	p.MayBe = r.WrittenDown(false)
	for _, c := range r.Candidates {
		if c.Probability >= 0.02 && !report.Asserted(r, c) && len(p.Others) < report.MostOthers {
			p.Others = append(p.Others, c)
		}
	}
	p.Overlap = report.Overlap(p.Others, r.Unlisted)
	p.Steps = r.Fixes
	onceOnly(p.Suspects, r)
	v := newTreeView(d, u, p.Suspects)
	p.Figures, p.FitsPrint = v.figures()
	if !p.FitsPrint {
		p.Overview = v.overview()
	}
	p.Ducts, p.ColourSays = v.rows(), v.counted()
	p.Rows = portRows(d, r)
	p.Untold = r.Untold()
	list, left := profiles(d)
	p.LeftOut = left
	if withFaults(d) && p.Untold == "" {
		p.Dashed, p.DashedSays = dashed(r, d, p.Suspects)
	}
	most := mostSuction(list)
	for _, x := range list {
		p.Profiles = append(p.Profiles, newProfileView(d, u, x, most, p.Dashed))
	}
	p.Readings = checkRows(d, r, u)
	p.Assumed = assumed(d, u)
	p.Following = report.NextSteps(r.Next)
	p.spare()
	return p
}

// spare finds what has no room.
func (p *htmlPage) spare() {
	ports := map[string]bool{}
	calm := 0
	for _, x := range p.Rows {
		ports[x.Port.Port] = true
		if x.State == "good" {
			calm++
		}
		p.number(x.Open)
	}
	p.Big = len(ports) > report.MostPorts
	if p.Big && calm > 0 {
		p.CalmPorts = show.Plural(calm, "row")
	}
	calm = 0
	for _, x := range p.Readings {
		if x.Class == "same" {
			calm++
		}
		p.number(x.Open)
	}
	if p.Big && calm > 0 {
		p.CalmReadings = show.Plural(calm, "reading")
	}
	for i := range p.Profiles {
		v := &p.Profiles[i]
		p.number(v.open)
		v.Open = p.Gates(v.open)
	}
	p.spareProfiles()
}

// mostPrinted is how many ways to the fan of a large plant are printed.
const mostPrinted = 12

// spareProfiles leaves the ways on which least is off out of print.
func (p *htmlPage) spareProfiles() {
	if !p.Big || len(p.Profiles) <= mostPrinted {
		return
	}
	order := make([]int, len(p.Profiles))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(p.Profiles[b].worst, p.Profiles[a].worst) })
	for _, i := range order[mostPrinted:] {
		p.Profiles[i].Calm = true
	}
	p.CalmProfiles = show.Plural(len(order)-mostPrinted, "port")
}

// number gives a long setting its number.
func (p *htmlPage) number(open string) {
	if strings.Count(open, "+") >= show.MostGates && !slices.Contains(p.Settings, open) {
		p.Settings = append(p.Settings, open)
	}
}

// Gates is gates, apart from settings that are called by a number.
func (p *htmlPage) Gates(open string) string {
	if i := slices.Index(p.Settings, open); i >= 0 {
		return fmt.Sprintf("setting %d, %d gates open", i+1, strings.Count(open, "+")+1)
	}
	return show.Gates(open)
}

// onceOnly takes from the suspects what stands among the steps anyway: where to
// search, what to do and what it gains.
func onceOnly(list []suspect, r *report.Result) {
	for i := range list {
		f := &list[i]
		if f.Zone != "" && report.Told(r, f.Zone) {
			f.Zone = ""
		}
		if slices.ContainsFunc(r.Fixes, func(x report.Fix) bool { return x.Do == f.Do }) {
			f.Do, f.Gains = "", nil
		}
	}
}

func verdictWord(r *report.Result) (word, mark string) {
	if r.Unfinished {
		return "Unfinished", "?"
	}
	switch diagnose.Verdict(r.Verdict) {
	case diagnose.Clear:
		return "Sound", "✓"
	case diagnose.Faults:
		main, narrow, _ := report.Sorted(r.Faults)
		switch {
		case len(main) > 1:
			return "Faults found", "◆"
		case len(main) == 1:
			return "Fault found", "◆"
		case len(narrow) > 0:
			return "Too small", "◇"
		}
		return "Wrong reading", "✕"
	}
	return "Unclear", "?"
}

// Against names what a step mends.
func (p *htmlPage) Against(list []report.Candidate) string { return report.Against(p.Result, list) }

// Name is what the page is headed with.
func (p *htmlPage) Name() string {
	if p.System.Name != "" {
		return p.System.Name
	}
	return p.System.File
}

func checkRows(d *diagnose.Result, r *report.Result, u units.System) []checkRow {
	out := make([]checkRow, len(r.Checks))
	for i, c := range r.Checks {
		q := d.Checks[i].Reading.Quantity
		v := figure.DeviationOf(figure.Drift(d.Checks[i]))
		out[i] = checkRow{Check: c, Class: v.Class(), Sign: v.Sign(), Word: v.Said(q),
			Half: show.Fixed(show.OffAt*c.Sigma, c.Places())}
		if c.Wrong {
			out[i].Class, out[i].Sign, out[i].Word = "wrong", "✕", "looks wrong"
		}
	}
	return out
}

// assumed says what the result takes for granted.
func assumed(d *diagnose.Result, u units.System) []string {
	s := d.System
	out := []string{
		"The ducts are as the system file " + report.FileName(s.File) + " describes them: diameters, lengths, bends, taps and what flows into what.",
		"Flow is steady, nobody moves a gate while a reading is taken, and gates stand as the column open says.",
	}
	if s.Air.Standard {
		out = append(out, "The file gives no air, so it is taken as standard air, "+units.Format(1.204, units.Density, u)+".")
	} else {
		t := fmt.Sprintf("The air is at %s and %.0f %% relative humidity", units.Format(s.Air.Temperature, units.Temperature, u), 100*s.Air.Humidity)
		if s.Air.Barometer > 0 {
			t += ", at a barometer of " + units.Format(s.Air.Barometer, units.Pressure, u)
		} else {
			t += ", " + units.Format(s.Air.Altitude, units.Length, u) + " above the sea"
		}
		out = append(out, show.Symbol(t)+".")
	}
	out = append(out, "Losses, fan and filter differ from the file by the spread that it states under uncertainty, or by the usual one.")
	if len(d.Baselines) > 0 {
		out = append(out, "The system was sound when the earlier survey was taken.")
	} else {
		out = append(out, "No earlier survey of the sound system was given; with one, smaller faults could be seen.")
	}
	return append(out, "Ranges are those in which 95 of 100 sound systems would read; intervals of flows, sizes and gains are 90 % ones.")
}
