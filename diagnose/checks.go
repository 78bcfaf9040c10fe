package diagnose

import (
	"math"
	"slices"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/weigh"
)

// checksOfAll compares every reading with what the likeliest set gives, and with the
// same system sound.
func checksOfAll(w *weigh.WholeSurvey, p *weigh.Posterior) []Check {
	wrong := map[int]bool{}
	for i, pr := range p.Row {
		if pr >= 0.5 {
			wrong[w.Pos[i]] = true
		}
	}
	out := make([]Check, len(w.S.Observation))
	bad := make([]bool, numeric.Workers)
	numeric.OnEachWorker(func(k int) { bad[k] = !share(w, k, p, out) })
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
func share(w *weigh.WholeSurvey, k int, p *weigh.Posterior, out []Check) bool {
	f, sound := p.Sets[0], p.G.Sound
	s := w.S.Twin()
	at := soundAt(p, s)
	st := s.M.NewState()
	row, wide := make([]float64, s.N), make([]float64, s.All)
	for c := k; c < len(s.By); c += numeric.Workers {
		if len(s.By[c]) == 0 {
			continue
		}
		s.SetCoefs(f.At, f.Faults)
		if st.Solve(&s.Coef, w.B.Configs[c].Config) != nil {
			return false
		}
		for _, i := range s.By[c] {
			o := &s.Observation[i]
			rd := w.B.Survey.Readings[o.Reading]
			rd.Rows = o.Rows
			out[i] = Check{Reading: rd, Measured: o.Y, Fitted: s.Value(st, f.At.Theta, i)}
		}
		s.SetCoefs(at, nil)
		if st.Solve(&s.Coef, w.B.Configs[c].Config) != nil {
			return false
		}
		st.Prepare()
		for _, i := range s.By[c] {
			clear(row)
			s.JacobianRow(st, at.Theta, &s.Observation[i], i, row, nil, nil)
			out[i].Expected = s.Value(st, at.Theta, i)
			out[i].Sigma = math.Sqrt(p.G.S.Variance(sound, row, make([]float64, len(sound.Faults))) + s.LeftOut(s.Grad, wide) + s.Observation[i].Fresh*s.Observation[i].Fresh)
		}
	}
	return true
}

// asWritten turns the checks of a world back into what was written down.
func asWritten(w *weigh.World, list []Check, as *observe.Bound) []Check {
	if w == nil || w.R == nil || len(list) != len(as.Observation) {
		return list
	}
	for i := range list {
		c := &list[i]
		o := &as.Observation[i]
		rows := c.Reading.Rows
		c.Reading = as.Survey.Readings[o.Reading]
		c.Reading.Rows, c.Measured = rows, o.Y
		if w.R.Written != nil {
			c.Expected, c.Fitted = w.R.Written(&c.Reading, c.Expected, w.R.Times), w.R.Written(&c.Reading, c.Fitted, w.R.Times)
		}
	}
	return list
}

// soundAt is what the sound system is taken for: as the readings have corrected
// it or, where they most likely aren't what they say they are, as it was before.
func soundAt(p *weigh.Posterior, s *fit.Study) fit.Point {
	if p.Unlisted > 0.5 {
		return s.Before()
	}
	return fit.Point{Theta: p.Sets[0].At.Theta}
}

// fitted are the faults of the best explanation, in order of their places.
func fitted(p *weigh.Posterior) []fault.Candidate {
	var sites []int
	for _, v := range p.Sets[0].Faults {
		sites = append(sites, v.Site)
	}
	slices.Sort(sites)
	var out []fault.Candidate
	for _, i := range slices.Compact(sites) {
		out = append(out, Candidate(p, i))
	}
	return out
}

// checks compares each observation with what a sound system would give.
func checks(p *weigh.Posterior) []Check {
	if p.Whole != nil {
		return checksOfAll(p.Whole, p)
	}
	s := p.G.S
	f := p.Sets[0]
	m := len(s.Observation)
	sound, with := make([]float64, m), append([]float64(nil), f.Fit.H...)
	if s.Predict(soundAt(p, s), fit.Hypothesis{}, sound) != nil {
		return nil
	}
	out := make([]Check, m)
	for i, o := range s.Observation {
		rd := s.B.Survey.Readings[o.Reading]
		rd.Rows = o.Rows
		out[i] = Check{Reading: rd, Measured: o.Y, Expected: sound[i], Fitted: with[i], Sigma: s.ReadingSD(p.G.Sound, i), Wrong: p.Row[i] >= 0.5}
	}
	return out
}
