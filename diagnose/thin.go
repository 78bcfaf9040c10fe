package diagnose

import (
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
)

// A survey of a thousand readings on a plant of hundreds of ports says the same
// thing many times over, and what one drop reads bears on few others. So a
// large survey is thinned before the search: all readings are linearised once,
// at the system as all of them have taught it, and those are kept which tell
// most about what looks wrong, with others evenly spread that hold what all
// have in common. Parameters that none of the kept readings depends on stay at
// their means; their spread is added back to what is said of flows.
const (
	thinAbove   = 240  // readings that are all searched with
	thinLinear  = 2000 // readings that are all linearised
	thinRounds  = 10   // of taking away the likeliest explanation and looking again
	thinLooks   = 24   // additions of a round whose readings are kept
	thinWindow  = 8.0  // nats below a round's best within which they lie
	thinTell    = 6    // readings kept for each
	thinStrange = 2.5  // sigmas by which a reading is out that is kept for itself
	thinShare   = 0.05 // sigmas of a reading that a parameter must move to count
)

// only is the survey with some of its observations.
func (b *bound) only(keep []int) *bound {
	out := *b
	if b.kept == nil {
		out.of = len(b.obs)
	}
	out.kept, out.obs = keep, make([]obs, len(keep))
	for k, i := range keep {
		out.obs[k] = b.obs[i]
	}
	return &out
}

// keptShare is the share of a survey's readings that are searched with.
func (s *study) keptShare() float64 {
	if s.b.kept == nil {
		return 1
	}
	return float64(len(s.b.kept)) / float64(s.b.of)
}

// evenly picks some of n, in order.
func evenly(n, some int) []int {
	out := make([]int, 0, some)
	for k := range min(n, some) {
		out = append(out, k*n/min(n, some))
	}
	return out
}

// thinned is the survey with the readings that tell most, and which parameters
// those depend on; the survey itself if it is small.
func thinned(m *airflow.Model, u *unknowns, l layout, b *bound, shared prior, ss []*site) (*bound, []bool) {
	if len(b.obs) <= thinAbove {
		return b, nil
	}
	if len(b.obs) > thinLinear {
		b = b.only(evenly(len(b.obs), thinLinear))
	}
	s := newStudy(m, u, l, b, shared)
	keep := evenly(len(b.obs), thinAbove)
	rows := s.sparseRows()
	if w := s.whiten(rows); w != nil {
		keep = w.telling(ss)
	}
	var use []bool
	if rows != nil {
		use = s.uses(rows, keep)
	}
	out := b.only(keep)
	if b.kept != nil {
		for k := range keep {
			keep[k] = b.kept[keep[k]]
		}
	}
	return out, use
}

// uses says which parameters some observations depend on; those of the survey
// itself and of its taps are used in any case.
func (s *study) uses(rows []sparse, keep []int) []bool {
	use := make([]bool, s.n)
	for x := s.own; x < s.n; x++ {
		use[x] = true
	}
	for _, x := range s.taps {
		use[x] = true // a tap's own error is part of every reading there
	}
	for _, i := range keep {
		for _, x := range rows[i].ix {
			use[x] = true
		}
	}
	return use
}

// slim leaves out the parameters that no observation depends on.
func (s *study) slim() {
	if rows := s.sparseRows(); rows != nil {
		s.reduce(s.uses(rows, evenly(len(s.obs), len(s.obs))))
	}
}

// sparse is a row of derivatives, those that count.
type sparse struct {
	ix []int32
	v  []float64
}

// sparseRows are the derivatives of all observations at the prior mean; nil if
// it can't be solved.
func (s *study) sparseRows() []sparse {
	rows := make([]sparse, len(s.obs))
	at := point{theta: s.pr.mean}
	bad := make([]bool, workers)
	beside(func(w int) {
		t := s.twin()
		bad[w] = t.predict(at, hypothesis{}, make([]float64, len(s.obs))) != nil
		if bad[w] {
			return
		}
		row := make([]float64, s.n)
		for c, st := range t.states {
			if len(s.by[c]) == 0 {
				continue
			}
			st.Prepare()
			for k, i := range s.by[c] {
				if k%workers != w {
					continue
				}
				clear(row)
				t.jacobianRow(st, at.theta, &t.obs[i], i, row, nil, nil)
				rows[i] = t.compress(row, i)
			}
		}
	})
	if slices.Contains(bad, true) {
		return nil
	}
	return rows
}

// compress keeps what moves the reading by a share of its own fresh error.
// What all the rest do together is common to many readings, and there the
// pressure of the fan and what parts have in common outweigh it.
func (s *study) compress(row []float64, i int) sparse {
	least := thinShare * math.Sqrt(s.baseNoise(i))
	n := 0
	for _, v := range row {
		if math.Abs(v) > least {
			n++
		}
	}
	out := sparse{make([]int32, 0, n), make([]float64, 0, n)}
	for x, v := range row {
		if math.Abs(v) > least {
			out.ix, out.v = append(out.ix, int32(x)), append(out.v, v)
		}
	}
	return out
}

// white is a large survey linearised at the prior mean, with its covariance.
type white struct {
	s    *study
	d    *fitDetail // its rows of derivatives
	chol cholesky
	at   point         // as all readings have taught it
	r    *mat.VecDense // what is left there
}

// whiten factors the covariance of all readings and moves to the mean that they teach.
func (s *study) whiten(rows []sparse) *white {
	if rows == nil {
		return nil
	}
	d := &fitDetail{rows: rows}
	w := &white{s: s, d: d, at: s.before()}
	s.share(d)
	S := w.chol.room(len(rows))
	s.spread(d, S)
	for i := range rows {
		S.SetSym(i, i, S.At(i, i)+s.baseNoise(i))
	}
	if !w.chol.Factorize(S) || !w.residual() {
		return nil
	}
	d.alpha = mat.NewVecDense(len(rows), nil)
	if !solved(w.chol.SolveVecTo(d.alpha, w.r)) {
		return nil
	}
	t := s.cov(d.back(s.n))
	for x := range w.at.theta {
		w.at.theta[x] += min(max(t.AtVec(x), -3), 3)
	}
	if !w.residual() {
		copy(w.at.theta, s.pr.mean)
		w.residual()
	}
	return w
}

// residual works out what is left of the readings at the present point, for
// the covariance about the prior mean.
func (w *white) residual() bool {
	s := w.s
	h := make([]float64, len(s.obs))
	if s.predict(w.at, hypothesis{}, h) != nil {
		return false
	}
	off := make([]float64, s.n)
	floats.SubTo(off, w.at.theta, s.pr.mean)
	w.r = mat.NewVecDense(len(h), nil)
	for i := range h {
		w.r.SetVec(i, s.obs[i].y-h[i]+w.d.times(i, off))
	}
	return true
}

// telling picks the readings to keep. Round by round the addition that would
// explain most is found, the readings that tell of it and of its rivals are
// kept, and what it explains is taken away.
func (w *white) telling(ss []*site) []int {
	s := w.s
	m := len(s.obs)
	kept := make([]bool, m)
	f := &fitted{at: w.at}
	s.setCoefs(w.at, nil)
	var slopes [][]slope
	var prior []float64
	for _, st := range ss {
		for _, v := range st.variants {
			slopes = append(slopes, v.deltas(&s.coef))
			prior = append(prior, logOdds(st.prior)+math.Log(v.weight))
		}
	}
	effect := mat.NewDense(m, max(len(slopes), 1), nil)
	s.effects(f, slopes, effect)
	alpha := mat.NewVecDense(m, nil)
	g := mat.NewVecDense(max(len(slopes), 1), nil)
	for i := range kept {
		kept[i] = s.ductOf(i) < 0 // what is read at the collector bears on everything
	}
	for range thinRounds {
		if !solved(w.chol.SolveVecTo(alpha, w.r)) {
			break
		}
		w.strange(alpha, kept)
		g.MulVec(effect.T(), alpha)
		if len(slopes) == 0 || !w.round(effect, g, prior, kept) {
			break
		}
	}
	return fill(kept)
}

// strange keeps readings that are out by themselves.
func (w *white) strange(alpha *mat.VecDense, kept []bool) {
	for i := range kept {
		if math.Abs(alpha.AtVec(i))*math.Sqrt(w.s.baseNoise(i)) > thinStrange {
			kept[i] = true
		}
	}
}

// round keeps the readings that tell of the likeliest additions, and takes away
// what the likeliest explains; false when there is none worth it.
func (w *white) round(effect *mat.Dense, g *mat.VecDense, prior []float64, kept []bool) bool {
	m, n := effect.Dims()
	weight := make([]float64, n)
	for i := range m {
		noise := 2 * w.s.baseNoise(i)
		for k, e := range effect.RawRowView(i) {
			weight[k] += e * e / noise
		}
	}
	score := make([]float64, n)
	order := make([]int, n)
	for k := range order {
		order[k] = k
		score[k] = prior[k] + amplitudeGain(g.AtVec(k), weight[k])
	}
	sort.SliceStable(order, func(a, b int) bool { return score[order[a]] > score[order[b]] })
	for _, k := range order[:min(thinLooks, n)] {
		if score[k] < score[order[0]]-thinWindow {
			break
		}
		w.keepFor(effect, k, kept)
	}
	best := order[0]
	if score[best] < 0 {
		return false
	}
	d := mat.NewVecDense(m, mat.Col(nil, best, effect))
	sd := mat.NewVecDense(m, nil)
	if !solved(w.chol.SolveVecTo(sd, d)) {
		return false
	}
	w.r.AddScaledVec(w.r, -g.AtVec(best)/max(mat.Dot(d, sd), 1e-300), d)
	return true
}

// keepFor keeps the readings that an addition moves most, in their own errors.
func (w *white) keepFor(effect *mat.Dense, k int, kept []bool) {
	m, _ := effect.Dims()
	by := make([]float64, m)
	order := make([]int, m)
	for i := range m {
		order[i] = i
		by[i] = math.Abs(effect.At(i, k)) / math.Sqrt(w.s.baseNoise(i))
	}
	sort.SliceStable(order, func(a, b int) bool { return by[order[a]] > by[order[b]] })
	for _, i := range order[:min(thinTell, m)] {
		kept[i] = true
	}
}

// fill lists what is kept, with others evenly spread.
func fill(kept []bool) []int {
	var rest, out []int
	n := 0
	for i, k := range kept {
		if k {
			n++
		} else {
			rest = append(rest, i)
		}
	}
	if n < thinAbove {
		for _, k := range evenly(len(rest), thinAbove-n) {
			kept[rest[k]] = true
		}
	}
	for i, k := range kept {
		if k {
			out = append(out, i)
		}
	}
	return out
}

// reduce leaves out parameters: they stay at their means, and lost is how the
// coefficients depend on them.
func (s *study) reduce(use []bool) {
	at := make([]int32, len(use))
	n := 0
	for x, u := range use {
		at[x] = -1
		if u {
			at[x] = int32(n)
			n++
		}
	}
	lost, kept := *s.u, *s.u
	lost.parts, kept.parts = slices.Clone(s.u.parts), slices.Clone(s.u.parts)
	for i := range kept.parts {
		p, q := &kept.parts[i], &lost.parts[i]
		var e float64
		for k, x := range p.ix {
			switch {
			case x < 0:
			case use[x]:
				p.ix[k], q.ix[k] = at[x], -1
			default:
				e += p.sd[k] * s.pr.mean[x]
				p.ix[k] = -1
			}
		}
		if p.added {
			p.Base += e
		} else {
			p.Base *= math.Exp(min(max(e, -3), 3))
		}
	}
	kept.pull()
	lost.pull()
	s.all = s.n
	s.u, s.lost = &kept, &lost
	for i := range s.obs {
		o := &s.obs[i]
		o.gainIx = int(at[o.gainIx])
		if o.tapIx >= 0 {
			o.tapIx = int(at[o.tapIx])
		}
		if o.axisIx >= 0 {
			o.axisIx = int(at[o.axisIx])
		}
	}
	s.day, s.own = int(at[s.day]), int(at[s.own])
	taps := map[string]int{}
	for id, x := range s.taps {
		if use[x] {
			taps[id] = int(at[x])
		}
	}
	s.taps = taps
	mean := make([]float64, 0, n)
	for x, u := range use {
		if u {
			mean = append(mean, s.pr.mean[x])
		}
	}
	if s.pr.v != nil {
		_, k := s.pr.v.Dims()
		v := mat.NewDense(n, k, nil)
		for x, u := range use {
			if u {
				v.SetRow(int(at[x]), s.pr.v.RawRowView(x))
			}
		}
		s.pr.v = v
	}
	s.pr.mean, s.n = mean, n
}

// leftOut is the variance that parameters left out give a reading.
func (s *study) leftOut(g *airflow.Gradient, row []float64) float64 {
	if s.lost == nil {
		return 0
	}
	clear(row)
	s.lost.row(g, s.vals, row)
	var v float64
	for _, x := range row {
		v += x * x
	}
	return v * s.kappa * s.kappa * s.pr.scale
}
