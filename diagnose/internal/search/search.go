package search

import (
	"errors"
	"fmt"
	"sort"
	"strings"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/screen"
)

// Search grows hypotheses from the sound one, a fault or a wrong row at a time.
type Search struct {
	S     *fit.Study
	Sites []*fault.Site
	rows  []*fit.Wrong
	Vid   map[*fault.Variant]int
	Wid   map[*fit.Wrong]int
	Seen  map[string]bool
	All   []*fit.Fit
	Rest  []screen.Idea // screened and not fitted
	Sound *fit.Fit
	pool  []*fit.Study
	Joint *Joint   // of survey and baseline; nil: the survey alone
	Both  []*Joint // a twin for each worker
	scale Scale
	found []screen.Idea // by a search under other factors
	Off   float64       // what the best gained when it was fitted to both
	must  int           // how many more are fitted to both whatever work was done

	Scouting bool // only to see which factors hold: fewer explanations are fitted
	scouted  bool // and then the others

	worth   func(g *Search) bool // whether to go on from what was given to begin with; nil: yes
	dropped bool                 // it was not worth it
	brief   bool                 // it takes less work as long as it scouts

	Joins func(faults []*fault.Variant, v *fault.Variant) bool // whether a fault may come beside others; nil: each site once
	Odds  func(faults []*fault.Variant) float64                // log prior of a set against none; nil: each by its site
	Also  func(f *fit.Fit) []screen.Idea                       // what else to try in place of one of the best; nil: nothing

	Tells []float64  // of a large survey: how far a typical fault stands out, squared, by variant
	start *fit.Point // where the sound system was found under other factors, of a large survey

	Whole *Whole // of the search with all readings from which this one was carried over; nil: of none
}

// ErrNoFit says that not even the sound system could be fitted to the readings.
var ErrNoFit = errors.New("the model can't fit these readings: look for a value that is far too large")

// NewSearch is a search over the places of a study, not yet begun.
func NewSearch(s *fit.Study, ss []*fault.Site, rows []*fit.Wrong) *Search {
	g := &Search{S: s, Sites: ss, rows: rows, Vid: map[*fault.Variant]int{}, Wid: map[*fit.Wrong]int{}, Seen: map[string]bool{}}
	for _, st := range ss {
		for _, v := range st.Variants {
			g.Vid[v] = len(g.Vid)
		}
	}
	for _, w := range rows {
		g.Wid[w] = len(g.Wid)
	}
	return g
}

// Best is the score of the likeliest hypothesis.
func (g *Search) Best() float64 {
	b := g.All[0].Score()
	for _, f := range g.All {
		b = max(b, f.Score())
	}
	return b
}

func sortFits(f []*fit.Fit) {
	sort.SliceStable(f, func(i, j int) bool { return f[i].Score() > f[j].Score() })
}

// Workers returns a study for each worker, with solver states of its own.
func (g *Search) Workers() []*fit.Study {
	for len(g.pool) < numeric.Workers {
		g.pool = append(g.pool, g.S.Twin())
	}
	return g.pool
}

// Coarse names a hypothesis by where its faults lie and what they do to the
// air, not by which of the like ones they are.
func (g *Search) Coarse(h fit.Hypothesis) string {
	var parts []string
	for _, v := range h.Faults {
		s := g.Sites[v.Site]
		d := s.Duct
		if d >= 0 && len(g.S.M.Sys.Ducts[d].Children) == 0 && g.S.M.Sys.Ducts[d].Into >= 0 {
			d = g.S.M.Sys.Ducts[d].Into
		}
		parts = append(parts, fmt.Sprint(d, fault.Obstructs(s.Kind), fault.OfItsOwn(s.Kind), v.When))
	}
	for _, w := range h.Rows {
		parts = append(parts, fmt.Sprint("row", w.Observation))
	}
	sort.Strings(parts)
	return strings.Join(parts, " ")
}
