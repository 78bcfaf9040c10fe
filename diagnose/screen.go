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
	z     float64 // of the fault last added: the severity to start from
	start *point  // where to start from, if not from where from stands
	swap  [2]int  // which variant was put in place of which
	off   float64 // what is in score because from was fitted to a baseline too
}

// screen estimates for every single addition to fitted hypotheses what it
// would gain. A first look is linear in everything, from the derivatives of
// one adjoint sweep a reading; what promises most there is solved exactly at a
// typical severity. Studies work beside one another.
func (g *search) screen(beam []*fitted) [][]idea {
	pool := g.workers()
	first, rows, effect := make([][]idea, len(beam)), make([][]idea, len(beam)), make([]*mat.Dense, len(beam))
	best := g.best()
	inPairs(len(beam), func(k int) {
		s, f := pool[k%workers], beam[k]
		first[k], effect[k] = s.firstLook(f, g.sites)
		rows[k] = s.screenRows(f, g.rows, best-forgotten)
		for _, list := range [][]idea{first[k], rows[k]} {
			for i := range list {
				list[i].key = keyOf(list[i].hypothesis, g.vid, g.wid)
			}
		}
	})
	for k, f := range beam {
		by := byScore(first[k])
		n := 0
		for n < min(secondLooks, len(by)) && first[k][by[n]].score > best-window-lookedOver {
			n++
		}
		by = by[:n]
		beside(func(w int) { pool[w].secondLook(f, first[k], effect[k], by, w) })
		first[k] = append(rows[k], first[k]...)
	}
	return first
}

const (
	forgotten  = 30.0 // nats below the best that a wrong row may promise before it is forgotten
	lookedOver = 3.0  // nats that a second look may add to what promises little
)

// secondLook rates a worker's share of some ideas by what they do at a typical
// severity. Where an idea hardly moves a reading its linear effect will do, so
// that only the configurations in which it does more have to be solved.
func (s *study) secondLook(f *fitted, first []idea, effect *mat.Dense, by []int, w int) {
	m := len(s.obs)
	h := make([]float64, m)
	d, sd := mat.NewVecDense(m, nil), mat.NewVecDense(m, nil)
	for n := w; n < len(by); n += workers {
		k := by[n]
		x := &first[k]
		v := x.faults[len(x.faults)-1]
		p := point{theta: f.at.theta, z: append(slices.Clone(f.at.z), severities[v.kind].mean)}
		was, solve := f.fit.h, s.movedBy(f, effect, k)
		if x.start = s.handedOver(f.at, v); x.start != nil {
			was, solve = make([]float64, m), nil
			p.theta = x.start.theta
			if s.predictRoughly(*x.start, f.hypothesis, was, nil) != nil {
				continue
			}
		}
		if s.predictRoughly(p, x.hypothesis, h, solve) != nil {
			continue // as the first look has it
		}
		for i, o := range s.obs {
			if solve == nil || solve[o.cfg] {
				d.SetVec(i, h[i]-was[i])
			} else {
				d.SetVec(i, effect.At(i, k))
			}
		}
		if !solved(f.fit.chol.SolveVecTo(sd, d)) {
			continue
		}
		g, size := mat.Dot(d, f.fit.alpha), mat.Dot(d, sd)
		x.score = f.evidence + x.prior + amplitudeGain(g, size)
		x.z = v.doing(amplitude(g, size))
	}
}

// secondLooks is how many additions are solved exactly.
const secondLooks = 24

// movedBy says in which configurations an addition moves a reading by more than
// is linear, or a row is read otherwise than written.
func (s *study) movedBy(f *fitted, effect *mat.Dense, k int) []bool {
	out := make([]bool, len(s.by))
	for i, o := range s.obs {
		e := effect.At(i, k)
		out[o.cfg] = out[o.cfg] || e*e > linearUpTo*linearUpTo*f.fit.noise[i]
	}
	for _, w := range f.rows {
		out[s.obs[w.obs].cfg] = true
		if w.cfg >= 0 {
			out[w.cfg] = true
		}
	}
	return out
}

// handedOver is a point at which the filter or the fan is as the prior has it,
// where a fit has bent it far off to explain what a fault of it would: from
// there the fault takes the place of that. Nil if it is not so.
func (s *study) handedOver(at point, v *variant) *point {
	var part int
	switch v.kind {
	case FilterLoaded:
		part = s.u.filter
	case FanWeak:
		part = s.u.speed
	default:
		return nil
	}
	p, far := at.clone(), 0.0
	for _, x := range s.u.parts[part].ix {
		if x >= 0 {
			far = max(far, math.Abs(p.theta[x]-s.pr.mean[x]))
			p.theta[x] = s.pr.mean[x]
			if p.dual != nil {
				p.dual[x] = 0
			}
		}
	}
	if far < bentOff {
		return nil
	}
	if s.pr.v != nil {
		p.dual = nil
	}
	return &p
}

// bentOff is how far from the prior mean, in standard deviations, a filter or a fan is bent.
const bentOff = 1.5

// linearUpTo is how far a reading may be moved, in fresh errors, and be taken
// to move in proportion.
const linearUpTo = 0.05

// firstLook rates every addition by its linear effect, which comes with it by columns.
func (s *study) firstLook(f *fitted, ss []*site) ([]idea, *mat.Dense) {
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
			out = append(out, idea{hypothesis: hy, from: f, prior: f.prior + logOdds(st.prior) + math.Log(v.weight), z: severities[v.kind].mean})
			slopes = append(slopes, v.deltas(&s.coef))
		}
	}
	if len(out) == 0 {
		_ = s.predictSet(f.at, f.hypothesis, make([]float64, len(s.obs)), nil) // for the rows
		return nil, nil
	}
	effect := mat.NewDense(len(s.obs), len(out), nil)
	s.effects(f, slopes, effect)
	for k, gain := range gains(&f.fit.chol, f.fit.alpha, effect) {
		out[k].score = f.evidence + out[k].prior + gain
	}
	return out, effect
}

// gains is what adding each column of effects to the expectation gains, in
// nats, where alpha is S⁻¹r.
func gains(chol *cholesky, alpha *mat.VecDense, effect *mat.Dense) []float64 {
	m, n := effect.Dims()
	g := mat.NewVecDense(n, nil)
	g.MulVec(effect.T(), alpha)
	white, size, out := mat.DenseCopyOf(effect), make([]float64, n), make([]float64, n)
	chol.Whiten(white)
	for i := range m {
		for k, v := range white.RawRowView(i) {
			size[k] += v * v
		}
	}
	for k := range out {
		out[k] = amplitudeGain(g.AtVec(k), size[k])
	}
	return out
}

// effects fills the linear effect of each list of coefficient changes on each observation.
func (s *study) effects(f *fitted, slopes [][]slope, out *mat.Dense) {
	h := make([]float64, len(s.obs))
	if s.predictSet(f.at, f.hypothesis, h, nil) != nil {
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

// tau2 is the spread of an amplitude about 1, squared.
const tau2 = 0.8 * 0.8

// amplitude is the likeliest a of a·d where ln a ~ N(0, τ²), with g and w as
// for amplitudeGain. It is where a fit had best start.
func amplitude(g, w float64) float64 {
	lo, hi := -farthest, farthest
	for range 20 {
		l := (lo + hi) / 2
		if a := math.Exp(l); a*g-a*a*w-l/tau2 > 0 {
			lo = l
		} else {
			hi = l
		}
	}
	return math.Exp(lo)
}

// farthest from 1 that an amplitude is looked for, as a logarithm.
const farthest = 2.

// amplitudeGain is the log Bayes factor for adding a·d to the expectation with
// a ~ N(1, τ²), where g = dᵀS⁻¹r and w = dᵀS⁻¹d.
func amplitudeGain(g, w float64) float64 {
	b := g + 1/tau2
	if b <= 0 {
		b = 0
	}
	return 0.5*b*b/(w+1/tau2) - 0.5/tau2 - 0.5*math.Log(1+w*tau2)
}

// screenRows does the same for wrong rows that promise no less than least; the
// change of one observation has its gain in closed form.
func (s *study) screenRows(f *fitted, rows []*wrong, least float64) []idea {
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
		if k > 0 {
			// another explanation of a row that is taken to be wrong already
			old := f.rows[k-1]
			prior -= math.Log(old.prior)
			gain -= old.log
			if old.drop {
				gain -= 0.5 * math.Log(2*math.Pi*f.fit.noise[w.obs]*s.rough*s.rough)
			}
		}
		score := f.evidence + prior + gain
		if score < least {
			continue
		}
		hy := hypothesis{f.faults, append(slices.Clone(f.rows), w)}
		if n := len(f.rows); k > 0 {
			hy.rows[k-1], hy.rows = w, hy.rows[:n]
		}
		out = append(out, idea{hypothesis: hy, from: f, prior: prior, score: score})
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
