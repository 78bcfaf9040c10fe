package diagnose

import "math"

// wholeSurvey is the survey with all its readings, of one that was thinned: what was
// found with the readings kept is held against every one of them.
type wholeSurvey struct {
	b    *bound
	s    *study  // of all readings, with the parameters that the search had
	pos  []int   // observation of the search → observation of the whole
	line [][]int // of each port: the readings on its own ducts that the search did without
}

// wholeOf is nil if no reading was left out.
func wholeOf(x *given, all *bound, shared prior, use []bool, kappa float64) *wholeSurvey {
	if x.survey.kept == nil {
		return nil
	}
	w := &wholeSurvey{b: all, pos: x.survey.kept}
	w.s = newStudy(x.m, x.u, x.l, all, shared)
	w.s.states = nil // one a worker will do
	if use != nil {
		w.s.reduce(use)
	}
	w.s.kappa = kappa
	w.line = w.lines()
	return w
}

// at is where an observation of the search stands among all readings.
func (w *wholeSurvey) at(i int) int {
	if w == nil {
		return i
	}
	return w.pos[i]
}

// checks compares every reading with what the likeliest set gives, and with the
// same system sound.
func (w *wholeSurvey) checks(p *posterior) []Check {
	wrong := map[int]bool{}
	for i, pr := range p.row {
		if pr >= 0.5 {
			wrong[w.pos[i]] = true
		}
	}
	out := make([]Check, len(w.s.obs))
	bad := make([]bool, workers)
	beside(func(k int) { bad[k] = !w.share(k, p, out) })
	for k := range bad {
		if bad[k] {
			return nil
		}
	}
	for i := range out {
		out[i].Wrong = wrong[i]
	}
	return out
}

// share is a worker's share of the checks: every so many-th configuration.
func (w *wholeSurvey) share(k int, p *posterior, out []Check) bool {
	f, sound := p.sets[0], p.g.sound
	s := w.s.twin()
	at := p.soundAt(s)
	st := s.m.NewState()
	row, wide := make([]float64, s.n), make([]float64, s.all)
	for c := k; c < len(s.by); c += workers {
		if len(s.by[c]) == 0 {
			continue
		}
		s.setCoefs(f.at, f.faults)
		if st.Solve(&s.coef, w.b.configs[c].Config) != nil {
			return false
		}
		for _, i := range s.by[c] {
			o := &s.obs[i]
			rd := w.b.survey.Readings[o.reading]
			rd.Rows = o.rows
			out[i] = Check{Reading: rd, Measured: o.y, Fitted: s.value(st, f.at.theta, i)}
		}
		s.setCoefs(at, nil)
		if st.Solve(&s.coef, w.b.configs[c].Config) != nil {
			return false
		}
		st.Prepare()
		for _, i := range s.by[c] {
			clear(row)
			s.jacobianRow(st, at.theta, &s.obs[i], i, row, nil, nil)
			out[i].Expected = s.value(st, at.theta, i)
			out[i].Sigma = math.Sqrt(p.g.s.variance(sound, row, make([]float64, len(sound.faults))) + s.leftOut(s.grad, wide) + s.obs[i].fresh*s.obs[i].fresh)
		}
	}
	return true
}
