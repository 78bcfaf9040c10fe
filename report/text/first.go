package text

import (
	"fmt"
	"slices"
	"strings"

	"lostair/report"
	"lostair/report/layout"
	"lostair/report/show"
)

// Most lines of what the first screen shows.
const (
	mostFound = 3
	mostTree  = 12
	leastTree = 3
)

// firstThings is the first screen.
func firstThings(p *show.Page, r *report.Result) {
	a := r.Answer
	p.Para("", a.Broken, VerdictColor(r))
	if a.Written != "" {
		p.Para("", a.Written, show.Doubtful)
	}
	p.Para("", a.TooSmall, show.PlainText)
	if a.Rows != "" {
		p.Para("", a.Rows, show.PlainText)
	}
	act := acts(p.Style, r)
	found(p, r, screen-act.Height())
	p.Blank()
	p.Append(act)
}

// screen is how many lines a terminal has at least.
const screen = 24

// acts is what to do and to read, set apart to know how much room it leaves.
func acts(s show.Style, r *report.Result) *show.Page {
	p, a := show.NewPage(s), r.Answer
	if a.Do != "" {
		do := a.Do
		if a.Gain != "" {
			do += " " + a.Gain
		}
		p.Para("Do first:  ", do, show.PlainText)
	}
	p.Para("Read next: ", a.Read, show.PlainText)
	return p
}

// found names the faults with the shares of what looks the same, and draws
// where they are.
func found(p *show.Page, r *report.Result, room int) {
	main, _, _ := report.Sorted(r.Faults)
	if len(main) == 0 {
		return
	}
	p.Blank()
	for i := range main[:min(len(main), mostFound)] {
		p.Para(fmt.Sprintf("[%d] ", i+1), r.Answer.Where[i], show.Bold)
	}
	if n := len(main) - mostFound; n > 0 {
		p.Para("", fmt.Sprintf("and %s.", show.Plural(n, "more fault")), show.PlainText)
	}
	tree := lines(r, max(min(room-p.Height()-1, mostTree), leastTree), p.Style.Width)
	if whole(tree) {
		p.Drawing(tree)
		return
	}
	for i, f := range main[:min(len(main), mostFound)] {
		if len(f.Alike) > 0 {
			p.Para(fmt.Sprintf("[%d] ", i+1), "shares: "+f.Shared(), show.PlainText)
		}
	}
}

// whole says that a tree is there and nothing of it is left out.
func whole(tree []string) bool {
	return len(tree) > 0 && !strings.HasPrefix(tree[len(tree)-1], "... ")
}

// mostShort is how many ports that fall short are listed.
const mostShort = 12

// shortPorts lists the ports that fall short now and would not if sound, and
// those that are too small by design.
func shortPorts(p *show.Page, r *report.Result) {
	if !r.FlowsHold() {
		p.Heading("Air at the ports")
		p.Para("", r.Untold(), show.PlainText)
		return
	}
	now := r.ShortNow()
	if len(now) > 0 {
		p.Heading("Short now, and not if sound" + inUnitOf(now))
		t := layout.Table{Columns: []layout.Column{{Head: "port", Least: 8}, {Head: "gates open", Least: 8}, {Head: "now", Right: true},
			{Head: "9 in 10 sure", Right: true}, {Head: "if sound", Right: true}, {Head: "need", Right: true}}}
		for _, x := range now[:min(len(now), mostShort)] {
			t.Rows = append(t.Rows, []string{x.Port, show.Briefly(x.Open), x.Flow.Mid(), x.Flow.Span(), report.IfSound(x), report.Needed(x.Need)})
		}
		p.Table("", t, nil)
		if n := len(now) - mostShort; n > 0 {
			p.Para("", fmt.Sprintf("and %d more.", n), show.PlainText)
		}
	}
	smallPorts(p, r)
}

// smallPorts lists what is too small by design, and what to buy.
func smallPorts(p *show.Page, r *report.Result) {
	if len(r.TooSmall) == 0 {
		return
	}
	p.Heading("Too small by design")
	if r.Fan != nil {
		p.Para("", r.FanFirst(), show.PlainText)
	}
	main, narrow, _ := report.Sorted(r.Faults)
	all := slices.Concat(main, narrow)
	for i, t := range r.TooSmall {
		if i == mostShort {
			p.Para("", fmt.Sprintf("and %d more.", len(r.TooSmall)-i), show.PlainText)
			break
		}
		lead := "* "
		if n := report.NumberOf(all, report.Candidate{Kind: report.Undersized, Where: t.Where}); n > 0 {
			lead = fmt.Sprintf("[%d] ", n) // as in the tree
		}
		p.Para(lead, t.Words(), show.PlainText)
	}
}

// laterSteps lists what to do after the first step, a line each, and what all
// bring together.
func laterSteps(p *show.Page, r *report.Result) {
	if len(r.Fixes) < 2 {
		return
	}
	p.Heading("Then do")
	for i, f := range r.Fixes[1:] {
		if i == mostNext {
			p.Para("", fmt.Sprintf("and %d more.", len(r.Fixes)-1-i), show.PlainText)
			break
		}
		p.Para(fmt.Sprintf("%d. ", i+2), strings.TrimSpace(f.Do+report.CostWords(f.Cost)+" "+report.GainWords(f.Gains)), show.PlainText)
	}
	if g := report.GainWords(r.AllFixed); g != "" {
		p.Para("", "All together: "+g, show.PlainText)
	}
}
