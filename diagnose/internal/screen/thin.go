package screen

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/branch"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/observe"
)

// Thinned, of a large baseline, is the survey with the readings that tell most, and which parameters
// those depend on; the survey itself if it is small.
func Thinned(m *airflow.Model, u *asbuilt.Unknowns, l fit.Layout, b *observe.Bound, shared fit.Prior, ss []*fault.Site) (*observe.Bound, []bool) {
	if len(b.Observation) <= fit.ThinAbove {
		return b, nil
	}
	if len(b.Observation) > fit.ThinLinear {
		b = b.Only(numeric.Evenly(len(b.Observation), fit.ThinLinear))
	}
	s := fit.NewStudy(m, u, l, b, shared)
	keep := numeric.Evenly(len(b.Observation), fit.ThinAbove)
	rows := s.SparseRows()
	if w := Whiten(s, rows); w != nil {
		keep = w.Telling(ss)
	}
	var use []bool
	if rows != nil {
		use = s.Uses(rows, keep)
	}
	out := b.Only(keep)
	if b.Kept != nil {
		for k := range keep {
			keep[k] = b.Kept[keep[k]]
		}
	}
	return out, use
}

// whitened is a large survey linearised at the prior mean, with its covariance.
type whitened struct {
	s    *fit.Study
	D    *fit.Detail // its rows of derivatives
	Chol numeric.Cholesky
	At   fit.Point     // as all readings have taught it
	R    *mat.VecDense // what is left there
}

// Whiten factors the covariance of all readings and moves to the mean that they teach.
func Whiten(s *fit.Study, rows *branch.Rows) *whitened {
	if rows == nil {
		return nil
	}
	d := &fit.Detail{Rows: rows}
	w := &whitened{s: s, D: d, At: s.Before()}
	s.Share(d)
	m := len(s.Observation)
	S := w.Chol.Room(m)
	s.Spread(d, S)
	for i := range m {
		S.SetSym(i, i, S.At(i, i)+s.BaseNoise(i))
	}
	if !w.Chol.Factorize(S) || !w.Residual() {
		return nil
	}
	d.Alpha = mat.NewVecDense(m, nil)
	if !numeric.Solved(w.Chol.SolveVecTo(d.Alpha, w.R)) {
		return nil
	}
	t := s.Cov(d.Back(s.N))
	for x := range w.At.Theta {
		w.At.Theta[x] += min(max(t.AtVec(x), -3), 3)
	}
	if !w.Residual() {
		copy(w.At.Theta, s.Pr.Mean)
		w.Residual()
	}
	return w
}

// Residual works out what is left of the readings at the present point, for
// the covariance about the prior mean.
func (w *whitened) Residual() bool {
	s := w.s
	h := make([]float64, len(s.Observation))
	if s.Predict(w.At, fit.Hypothesis{}, h) != nil {
		return false
	}
	off := make([]float64, s.N)
	floats.SubTo(off, w.At.Theta, s.Pr.Mean)
	w.R = mat.NewVecDense(len(h), w.D.Times(off))
	for i := range h {
		w.R.SetVec(i, s.Observation[i].Y-h[i]+w.R.AtVec(i))
	}
	return true
}

// Telling picks the readings to keep. Round by round the addition that would
// explain most is found, the readings that tell of it and of its rivals are
// kept, and what it explains is taken away.
func (w *whitened) Telling(ss []*fault.Site) []int {
	s := w.s
	m := len(s.Observation)
	kept := make([]bool, m)
	f := &fit.Fit{At: w.At}
	var list []*fault.Variant
	var prior []float64
	for _, st := range ss {
		for _, v := range st.Variants {
			list = append(list, v)
			prior = append(prior, LogOdds(st.Prior)+math.Log(v.Weight))
		}
	}
	effect := mat.NewDense(m, max(len(list), 1), nil)
	Effects(s, f, list, effect)
	alpha := mat.NewVecDense(m, nil)
	g := mat.NewVecDense(max(len(list), 1), nil)
	for range fit.ThinRounds {
		if !numeric.Solved(w.Chol.SolveVecTo(alpha, w.R)) {
			break
		}
		w.strange(alpha, kept)
		g.MulVec(effect.T(), alpha)
		if len(list) == 0 || !w.Round(effect, g, prior, kept) {
			break
		}
	}
	return Fill(s, kept)
}

// strange keeps readings that are out by themselves.
func (w *whitened) strange(alpha *mat.VecDense, kept []bool) {
	for i := range kept {
		if math.Abs(alpha.AtVec(i))*math.Sqrt(w.s.BaseNoise(i)) > fit.ThinStrange {
			kept[i] = true
		}
	}
}

// Round keeps the readings that tell of the likeliest additions, and takes away
// what the likeliest explains; false when there is none worth it.
func (w *whitened) Round(effect *mat.Dense, g *mat.VecDense, prior []float64, kept []bool) bool {
	m, n := effect.Dims()
	weight := make([]float64, n)
	for i := range m {
		noise := 2 * w.s.BaseNoise(i)
		for k, e := range effect.RawRowView(i) {
			weight[k] += e * e / noise
		}
	}
	score := make([]float64, n)
	order := make([]int, n)
	for k := range order {
		order[k] = k
		score[k] = prior[k] + AmplitudeGain(g.AtVec(k), weight[k])
	}
	sort.SliceStable(order, func(a, b int) bool { return score[order[a]] > score[order[b]] })
	for _, k := range order[:min(fit.ThinLooks, n)] {
		if score[k] < score[order[0]]-fit.ThinWindow {
			break
		}
		KeepFor(w.s, effect, k, kept)
	}
	best := order[0]
	if score[best] < 0 {
		return false
	}
	d := mat.NewVecDense(m, mat.Col(nil, best, effect))
	sd := mat.NewVecDense(m, nil)
	if !numeric.Solved(w.Chol.SolveVecTo(sd, d)) {
		return false
	}
	w.R.AddScaledVec(w.R, -g.AtVec(best)/max(mat.Dot(d, sd), 1e-300), d)
	return true
}

// KeepFor keeps the readings that an addition, column k, moves most, in their own errors.
func KeepFor(s *fit.Study, effect *mat.Dense, k int, kept []bool) {
	m, _ := effect.Dims()
	by := make([]float64, m)
	for i := range m {
		by[i] = math.Abs(effect.At(i, k)) / math.Sqrt(s.BaseNoise(i))
	}
	for _, i := range ByValue(by)[:min(fit.ThinTell, m)] {
		kept[i] = true
	}
}

// Fill lists what is kept, and others while there is room: evenly of what is read at the
// collector, which bears on everything and may be read in hundreds of settings, then
// evenly of all else.
func Fill(s *fit.Study, kept []bool) []int {
	add := func(these func(i int) bool) {
		var list []int
		n := 0
		for i, k := range kept {
			switch {
			case k:
				n++
			case these(i):
				list = append(list, i)
			}
		}
		for _, x := range numeric.Evenly(len(list), max(fit.ThinAbove-n, 0)) {
			kept[list[x]] = true
		}
	}
	add(func(i int) bool { return s.DuctOf(i) < 0 })
	add(func(int) bool { return true })
	var out []int
	for i, k := range kept {
		if k {
			out = append(out, i)
		}
	}
	return out
}

// ByValue are the places of values, the largest first.
func ByValue(v []float64) []int {
	order := make([]int, len(v))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return v[order[a]] > v[order[b]] })
	return order
}
