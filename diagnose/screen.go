package diagnose

import (
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/mat"
)

// idea is a hypothesis that looks worth fitting, with what it should score.
type idea struct {
	hypothesis
	from  *fitted
	score float64
	prior float64
	key   string
}

// screen estimates for every single addition to a fitted hypothesis what it
// would gain. A first look is linear in everything, from the derivatives of
// one adjoint sweep a reading; what promises most there is solved exactly at a
// typical severity, by studies that work beside one another.
func (s *study) screen(f *fitted, ss []*site, rows []*wrong, pool []*study) []idea {
	first := s.firstLook(f, ss)
	sort.SliceStable(first, func(i, j int) bool { return first[i].score > first[j].score })
	out := s.screenRows(f, rows)
	beside(func(w int) { pool[w].secondLook(f, first[:min(secondLooks, len(first))], w) })
	return append(out, first...)
}

// secondLook rates a worker's share of the ideas by what they do at a typical severity.
func (s *study) secondLook(f *fitted, first []idea, w int) {
	m := len(s.obs)
	h := make([]float64, m)
	d, sd := mat.NewVecDense(m, nil), mat.NewVecDense(m, nil)
	for i := w; i < len(first); i += workers {
		x := first[i]
		v := x.faults[len(x.faults)-1]
		p := point{theta: f.at.theta, z: append(slices.Clone(f.at.z), severities[v.kind].mean)}
		if s.predictBriefly(p, x.hypothesis, h) != nil {
			continue // as the first look has it
		}
		for i := range h {
			d.SetVec(i, h[i]-f.fit.h[i])
		}
		if !solved(f.fit.chol.SolveVecTo(sd, d)) {
			continue
		}
		first[i].score = f.evidence + x.prior + amplitudeGain(mat.Dot(d, f.fit.alpha), mat.Dot(d, sd))
	}
}

// secondLooks is how many additions are solved exactly.
const secondLooks = 30

// firstLook rates every addition by its linear effect.
func (s *study) firstLook(f *fitted, ss []*site) []idea {
	var out []idea
	used := map[int]bool{}
	for _, v := range f.faults {
		used[v.site] = true
	}
	var slopes [][]slope
	s.setCoefs(f.at, f.faults)
	for si, st := range ss {
		if used[si] || st.prior <= 0 {
			continue
		}
		for _, v := range st.variants {
			hy := hypothesis{append(append([]*variant(nil), f.faults...), v), f.rows}
			out = append(out, idea{hypothesis: hy, from: f, prior: f.prior + logOdds(st.prior) + math.Log(v.weight)})
			slopes = append(slopes, v.deltas(&s.coef))
		}
	}
	m := len(s.obs)
	effect := mat.NewDense(m, max(len(out), 1), nil)
	s.effects(f, slopes, effect)
	var se mat.Dense
	if len(out) == 0 || !solved(f.fit.chol.SolveTo(&se, effect)) {
		return nil
	}
	for k := range out {
		var g, w float64
		for i := range m {
			g += effect.At(i, k) * f.fit.alpha.AtVec(i)
			w += effect.At(i, k) * se.At(i, k)
		}
		out[k].score = f.evidence + out[k].prior + amplitudeGain(g, w)
	}
	return out
}

// effects fills the linear effect of each list of coefficient changes on each observation.
func (s *study) effects(f *fitted, slopes [][]slope, out *mat.Dense) {
	h := make([]float64, len(s.obs))
	if s.predictSet(f.at, f.hypothesis, h) != nil {
		return
	}
	for c, st := range s.states {
		if len(s.by[c]) == 0 {
			continue
		}
		st.Prepare()
		for _, i := range s.by[c] {
			st.Sensitivity(s.obs[i].probe, s.grad)
			row := out.RawRowView(i)
			for k, sl := range slopes {
				for _, e := range sl {
					row[k] += *e.slot.Of(&s.grad.Coefs) * e.by
				}
			}
		}
	}
}

func logOdds(p float64) float64 { return math.Log(p / (1 - p)) }

// amplitudeGain is the log Bayes factor for adding a·d to the expectation with
// a ~ N(1, τ²), where g = dᵀS⁻¹r and w = dᵀS⁻¹d.
func amplitudeGain(g, w float64) float64 {
	const tau2 = 0.8 * 0.8
	b := g + 1/tau2
	if b <= 0 {
		b = 0
	}
	return 0.5*b*b/(w+1/tau2) - 0.5/tau2 - 0.5*math.Log(1+w*tau2)
}

// screenRows does the same for wrong rows; the change of one observation has
// its gain in closed form.
func (s *study) screenRows(f *fitted, rows []*wrong) []idea {
	if len(rows) == 0 {
		return nil
	}
	var inv mat.SymDense
	if !solved(f.fit.chol.InverseTo(&inv)) {
		return nil
	}
	taken := map[int]int{}
	for k, w := range f.rows {
		taken[w.obs] = k + 1
	}
	var out []idea
	for _, w := range rows {
		k := taken[w.obs]
		gain := s.rowGain(f, w, f.fit.alpha.AtVec(w.obs), inv.At(w.obs, w.obs))
		if math.IsNaN(gain) || k > 0 && f.rows[k-1] == w {
			continue
		}
		prior := f.prior + math.Log(w.prior)
		hy := hypothesis{f.faults, append([]*wrong(nil), f.rows...)}
		if k > 0 {
			// another explanation of a row that is taken to be wrong already
			old := f.rows[k-1]
			prior -= math.Log(old.prior)
			gain -= old.log
			if old.drop {
				gain -= 0.5 * math.Log(2*math.Pi*f.fit.noise[w.obs]*s.rough*s.rough)
			}
			hy.rows[k-1] = w
		} else {
			hy.rows = append(hy.rows, w)
		}
		out = append(out, idea{hypothesis: hy, from: f, prior: prior, score: f.evidence + prior + gain})
	}
	return out
}

// rowGain is the log Bayes factor for taking a row to be wrong in the way of w.
// a is [S⁻¹r] and q is [S⁻¹] of the row: given all others it is normal about
// y − a/q with variance 1/q.
func (s *study) rowGain(f *fitted, w *wrong, a, q float64) float64 {
	i := w.obs
	mean := f.fit.y[i] - a/q
	here := -0.5 * a * a / q
	base := s.baseNoise(i)
	v := 1/q - f.fit.noise[i]*s.rough*s.rough // what it should vary by, but for its own error
	if o := &s.obs[i]; w.slip() {
		base = w.noise()
		v = max(v-max(o.gain*o.gain-w.gain*w.gain, 0), 0)
	}
	v += base * s.rough * s.rough
	if v <= 0 {
		return math.NaN()
	}
	// of the row as it stands in the fit, to be taken out
	gain := -here - 0.5*math.Log(q)
	switch {
	case w.drop:
		return gain + 0.5*math.Log(2*math.Pi) + w.log
	case w.cfg >= 0:
		// a change of the expectation is a change of the observation the other way
		d := s.obs[i].y - (s.elsewhere(f.at, w) - f.fit.h[i]) - mean
		return gain - 0.5*d*d/v - 0.5*math.Log(v) + w.log
	}
	d := w.y - mean
	return gain - 0.5*d*d/v - 0.5*math.Log(v) + w.log
}

// keys gives each hypothesis one name whatever the order it was grown in.
func keyOf(h hypothesis, vid map[*variant]int, wid map[*wrong]int) string {
	var a []int
	for _, v := range h.faults {
		a = append(a, vid[v])
	}
	sort.Ints(a)
	var b []int
	for _, w := range h.rows {
		b = append(b, wid[w])
	}
	sort.Ints(b)
	var sb strings.Builder
	for _, x := range a {
		sb.WriteString(strconv.Itoa(x))
		sb.WriteByte(',')
	}
	sb.WriteByte('|')
	for _, x := range b {
		sb.WriteString(strconv.Itoa(x))
		sb.WriteByte(',')
	}
	return sb.String()
}
