package changed

import (
	"fmt"
	"math"
	"sort"

	"lostair/report/show"
)

// gainedAt is what one port gains in one setting, as a share.
type gainedAt struct {
	words string
	share float64
}

func summaryOf(settings []Setting) Summary {
	s := Summary{Better: []string{}, Worse: []string{}, NowEnough: []string{}, NowShort: []string{}, NowCarries: []string{}, NowSlow: []string{}}
	var moved []gainedAt
	for _, g := range settings {
		for _, r := range g.Rows {
			s.crossed(g, r)
			if r.What != "port" || r.Quantity != "flow" || !(r.Before > 0) {
				continue
			}
			if by := r.After/r.Before - 1; math.Abs(by) >= leastShown {
				moved = append(moved, gainedAt{fmt.Sprintf("%s %s", at(r, g), show.ChangeOf(r.Before, r.After)), by})
			}
		}
	}
	sort.SliceStable(moved, func(a, b int) bool { return math.Abs(moved[a].share) > math.Abs(moved[b].share) })
	for _, m := range moved {
		if m.share > 0 {
			s.Better = append(s.Better, m.words)
		} else {
			s.Worse = append(s.Worse, m.words)
		}
	}
	return s
}

// crossed notes a value that now reaches what it must, or no longer does.
func (s *Summary) crossed(g Setting, r Row) {
	if !(r.Least > 0) {
		return
	}
	words := fmt.Sprintf("%s (%s, at least %s %s)", at(r, g), show.Even(r.After), show.Even(r.Least), r.Unit)
	switch whatIfMark(r) {
	case "now enough":
		s.NowEnough = append(s.NowEnough, words)
	case "now short":
		s.NowShort = append(s.NowShort, words)
	case "now carries":
		s.NowCarries = append(s.NowCarries, words)
	case "now too slow":
		s.NowSlow = append(s.NowSlow, words)
	}
}

// at names a place, and the setting where it is not the place's own alone.
func at(r Row, g Setting) string {
	if g.Open == r.Where {
		return r.Where
	}
	return r.Where + " with " + show.Gates(g.Open)
}

// lines are the summary, worst news first.
func (s Summary) lines() []struct{ label, text, color string } {
	var out []struct{ label, text, color string }
	add := func(label string, list []string, color string) {
		if len(list) > 0 {
			out = append(out, struct{ label, text, color string }{label + ": ", show.Few(list), color})
		}
	}
	add("Now short", s.NowShort, show.Bad)
	add("Now too slow to carry the dust", s.NowSlow, show.Bad)
	add("Worse", s.Worse, show.Doubtful)
	add("Now enough", s.NowEnough, show.Good)
	add("Now carries the dust", s.NowCarries, show.Good)
	add("Better", s.Better, show.Good)
	return out
}
