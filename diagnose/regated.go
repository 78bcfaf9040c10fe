package diagnose

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

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

// regated is that all that was read in one of these configurations was read
// with one gate more open, one less, or another in place of the only one, and
// nothing is wrong.
func (g *search) regated(list []int, page *pageState) []misgiven {
	var ideas []regated
	for _, cfg := range list {
		others := g.settings(cfg)
		for _, o := range others {
			ideas = append(ideas, regated{cfg: cfg, open: o, misfit: math.Inf(1),
				prior: gatesPrior / float64(len(g.s.b.configs)) / float64(len(others))})
		}
	}
	pool := g.workers()
	inPairs(len(ideas), func(i int) { ideas[i].rate(pool[i%workers], page) })
	slices.SortStableFunc(ideas, func(a, b regated) int { return cmp.Compare(a.misfit, b.misfit) })
	n := leaders(len(ideas), regatedFits, regatedWindow, func(k int) float64 { return ideas[k].misfit })
	out := make([]misgiven, n)
	inPairs(n, func(i int) {
		r := &ideas[i]
		out[i].score = math.Inf(-1)
		b := r.bind(g.s)
		if b == nil {
			return
		}
		s := g.s.twin()
		s.bar, s.ref = g.barFor(r.prior), nil
		s.takeTo(b)
		out[i] = g.checked(s.cleaned(hypothesis{rows: g.sound.rows}), r.prior,
			fmt.Sprintf("If what is written as read with %s had been read with %s, all would fit with no fault: check which gates stood open then.",
				openWords(g.s.b.configs[r.cfg].open), openWords(r.open)))
	})
	return out
}

// settings are the settings of the gates for which another may be written.
func (g *search) settings(cfg int) []readings.Open {
	was := g.s.b.configs[cfg]
	var open []string
	gates := g.s.m.Sys.Gates()
	for _, id := range gates {
		if was.open.All || slices.Contains(was.open.Gates, id) {
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
func (r *regated) rate(s *study, page *pageState) {
	cfg, err := s.m.Configure(r.open.All, r.open.Gates, s.b.configs[r.cfg].hoseOff)
	if err != nil {
		return
	}
	at := s.before()
	s.setCoefs(at, nil)
	st := s.m.NewState()
	st.Unchecked = true
	if st.Solve(&s.coef, cfg) != nil {
		return
	}
	left := mat.NewVecDense(len(s.obs), slices.Clone(page.r))
	for _, i := range s.by[r.cfg] {
		left.SetVec(i, s.obs[i].y-s.value(st, at.theta, i))
	}
	r.misfit = page.of(left)
}

// bind is the survey with that configuration read so; nil if there is no such setting.
func (r *regated) bind(s *study) *bound {
	was := s.b.survey
	now := *was
	now.Rows, now.Readings = slices.Clone(was.Rows), slices.Clone(was.Readings)
	for _, i := range s.by[r.cfg] {
		rd := &now.Readings[s.obs[i].reading]
		rd.Open = r.open
		for _, k := range rd.Rows {
			now.Rows[k].Open = r.open
		}
	}
	b, bad := bind(s.m, &now)
	if bad.Err() != nil {
		return nil
	}
	if s.b.kept != nil {
		b = b.only(s.b.kept)
	}
	return b
}

// takeTo makes a twin one of a survey bound otherwise, its readings in the same order.
func (s *study) takeTo(b *bound) {
	s.b, s.obs = b, slices.Clone(s.obs)
	for i := range s.obs {
		s.obs[i].cfg = b.obs[i].cfg
	}
	s.by = b.byConfig()
	s.states = solvers(s.m, len(b.configs))
}
