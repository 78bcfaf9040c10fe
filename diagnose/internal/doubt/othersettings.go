package doubt

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/search"
	"lostair/readings"
)

const (
	regatedFits   = 4    // other settings of the gates that are fitted exactly
	regatedWindow = 15.0 // nats below the best at first sight within which they lie
)

// regated is a survey of which one configuration was read with other gates
// open than written.
type regated struct {
	cfg    int // as written
	open   readings.Open
	prior  float64
	misfit float64
}

// otherSettings is that all that was read in one of these configurations was read
// with one gate more open, one less, or another in place of the only one, and
// nothing is wrong.
func otherSettings(g *search.Search, list []int, page *pageState) []DataError {
	var ideas []regated
	for _, cfg := range list {
		others := Settings(g, cfg)
		for _, o := range others {
			ideas = append(ideas, regated{cfg: cfg, open: o, misfit: math.Inf(1),
				prior: GatesPrior / float64(len(g.S.B.Configs)) / float64(len(others))})
		}
	}
	pool := g.Workers()
	numeric.ForEach(len(ideas), func(i int) { ideas[i].rate(pool[i%numeric.Workers], page) })
	slices.SortStableFunc(ideas, func(a, b regated) int { return cmp.Compare(a.misfit, b.misfit) })
	n := leaders(len(ideas), regatedFits, regatedWindow, func(k int) float64 { return ideas[k].misfit })
	out := make([]DataError, n)
	numeric.ForEach(n, func(i int) {
		r := &ideas[i]
		out[i].Score = math.Inf(-1)
		b := r.bind(g.S)
		if b == nil {
			return
		}
		s := g.S.Twin()
		s.EvidenceFloor, s.Ref = barFor(g, r.prior), nil
		takeTo(s, b)
		out[i] = checked(g, Cleaned(s, fit.Hypothesis{Rows: g.Sound.Rows}), r.prior,
			fmt.Sprintf("If what is written as read with %s had been read with %s, all would fit with no fault: check which gates stood open then.",
				readings.OpenWords(g.S.B.Configs[r.cfg].Open), readings.OpenWords(r.open)))
	})
	return out
}

// Settings are the settings of the gates for which another may be written.
func Settings(g *search.Search, cfg int) []readings.Open {
	was := g.S.B.Configs[cfg]
	var open []string
	gates := g.S.M.Sys.Gates()
	for _, id := range gates {
		if was.Open.All || slices.Contains(was.Open.Gates, id) {
			open = append(open, id)
		}
	}
	var out []readings.Open
	for _, id := range gates {
		if k := slices.Index(open, id); k >= 0 {
			out = append(out, readings.Open{Gates: slices.Delete(slices.Clone(open), k, k+1)})
			continue
		}
		more := append(slices.Clone(open), id)
		slices.Sort(more)
		out = append(out, readings.Open{Gates: more})
		if len(open) == 1 {
			out = append(out, readings.Open{Gates: []string{id}})
		}
	}
	return out
}

// rate says how badly the page fits the survey so read.
func (r *regated) rate(s *fit.Study, page *pageState) {
	cfg, err := s.M.Configure(r.open.All, r.open.Gates, s.B.Configs[r.cfg].HoseOff)
	if err != nil {
		return
	}
	at := s.Before()
	s.SetCoefs(at, nil)
	st := s.M.NewState()
	st.Unchecked = true
	if st.Solve(&s.Coef, cfg) != nil {
		return
	}
	left := mat.NewVecDense(len(s.Observation), slices.Clone(page.R))
	for _, i := range s.By[r.cfg] {
		left.SetVec(i, s.Observation[i].Y-s.Value(st, at.Theta, i))
	}
	r.misfit = page.of(left)
}

// bind is the survey with that configuration read so; nil if there is no such setting.
func (r *regated) bind(s *fit.Study) *observe.Bound {
	was := s.B.Survey
	now := *was
	now.Rows, now.Readings = slices.Clone(was.Rows), slices.Clone(was.Readings)
	for _, i := range s.By[r.cfg] {
		rd := &now.Readings[s.Observation[i].Reading]
		rd.Open = r.open
		for _, k := range rd.Rows {
			now.Rows[k].Open = r.open
		}
	}
	b, bad := observe.Bind(s.M, &now)
	if bad.Err() != nil {
		return nil
	}
	if s.B.Kept != nil {
		b = search.Only(b, s.B.Kept)
	}
	return b
}

// takeTo makes a twin one of a survey bound otherwise, its readings in the same order.
func takeTo(s *fit.Study, b *observe.Bound) {
	s.B, s.Observation = b, slices.Clone(s.Observation)
	for i := range s.Observation {
		s.Observation[i].Cfg = b.Observation[i].Cfg
	}
	s.By = b.ByConfig()
	s.States = fit.Solvers(s.M, len(b.Configs))
}
