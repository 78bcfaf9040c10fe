package search

import (
	"math"
	"slices"
	"sort"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
)

// Idea is a hypothesis that looks worth fitting, with what it should score.
type Idea struct {
	fit.Hypothesis
	From  *fit.Fit
	Score float64
	Prior float64
	Key   string
	z     float64    // of the fault last added: the severity to start from
	start *fit.Point // where to start from, if not from where from stands
	Swap  [2]int     // which variant was put in place of which
	Off   float64    // what is in score because from was fitted to a baseline too
	Times Times      // of what a typical fault does, that of the fault last added
}

// screen estimates for every single addition to fitted hypotheses what it
// would gain. A first look is linear in everything, from the derivatives of
// one adjoint sweep a reading; what promises most there is solved exactly at a
// typical severity. Studies work beside one another.
func (g *Search) screen(beam []*fit.Fit) [][]Idea {
	pool := g.Workers()
	first, rows, effect := make([][]Idea, len(beam)), make([][]Idea, len(beam)), make([]*mat.Dense, len(beam))
	best := g.Best()
	numeric.ForEach(len(beam), func(k int) {
		s, f := pool[k%numeric.Workers], beam[k]
		first[k], effect[k] = g.firstLook(s, f)
		rows[k] = ScreenRows(s, f, g.rows, best-forgotten)
		for _, list := range [][]Idea{first[k], rows[k]} {
			for i := range list {
				list[i].Key = KeyOf(list[i].Hypothesis, g.Vid, g.Wid)
			}
		}
	})
	for k, f := range beam {
		if f == g.Sound && g.S.Large() {
			g.tells(first[k])
		}
		by := ByScore(first[k])
		n := 0
		for n < min(SecondLooks, len(by)) && first[k][by[n]].Score > best-Window-lookedOver {
			n++
		}
		by = by[:n]
		numeric.OnEachWorker(func(w int) { SecondLook(pool[w], f, first[k], effect[k], by, w) })
		first[k] = append(rows[k], first[k]...)
	}
	return first
}

const (
	forgotten  = 30.0 // nats below the best that a wrong row may promise before it is forgotten
	lookedOver = 3.0  // nats that a second look may add to what promises little
)

// SecondLook rates a worker's share of some ideas by what they do at a typical
// severity. Where an idea hardly moves a reading its linear effect will do, so
// that only the configurations in which it does more have to be solved.
func SecondLook(s *fit.Study, f *fit.Fit, first []Idea, effect *mat.Dense, by []int, w int) {
	m := len(s.Observation)
	h := make([]float64, m)
	d, sd := mat.NewVecDense(m, nil), mat.NewVecDense(m, nil)
	for n := w; n < len(by); n += numeric.Workers {
		k := by[n]
		x := &first[k]
		v := x.Faults[len(x.Faults)-1]
		p := fit.Point{Theta: f.At.Theta, Z: append(slices.Clone(f.At.Z), v.Usual().Mean)}
		was, solve := f.Fit.H, MovedBy(s, f, effect, k)
		if x.start = HandedOver(s, f.At, v); x.start != nil {
			was, solve = make([]float64, m), nil
			p.Theta = x.start.Theta
			if s.PredictRoughly(*x.start, f.Hypothesis, was, nil) != nil {
				continue
			}
		}
		if s.PredictRoughly(p, x.Hypothesis, h, solve) != nil {
			continue // as the first look has it
		}
		for i, o := range s.Observation {
			if solve == nil || solve[o.Cfg] {
				d.SetVec(i, h[i]-was[i])
			} else {
				d.SetVec(i, effect.At(i, k))
			}
		}
		if !numeric.Solved(f.Fit.Chol.SolveVecTo(sd, d)) {
			continue
		}
		g, size := mat.Dot(d, f.Fit.Alpha), mat.Dot(d, sd)
		x.Score = f.Evidence + x.Prior + AmplitudeGain(g, size)
		x.z, x.Times = v.Doing(Amplitude(g, size)), timesOf(g, size)
		if Amplitude(g, size) > heavyFrom {
			heavier(s, f, x, p, was, solve, func(i int) float64 { return effect.At(i, k) }, d, sd)
		}
	}
}

// SecondLooks is how many additions are solved exactly.
const SecondLooks = 24

// MovedBy says in which configurations an addition moves a reading by more than
// is linear, or a row is read otherwise than written.
func MovedBy(s *fit.Study, f *fit.Fit, effect *mat.Dense, k int) []bool {
	if s.Both() != nil {
		return nil // all of both
	}
	out := make([]bool, len(s.By))
	for i, o := range s.Observation {
		e := effect.At(i, k)
		out[o.Cfg] = out[o.Cfg] || e*e > LinearUpTo*LinearUpTo*f.Fit.Noise[i]
	}
	for _, w := range f.Rows {
		out[s.Observation[w.Observation].Cfg] = true
		if w.Cfg >= 0 {
			out[w.Cfg] = true
		}
	}
	return out
}

// HandedOver is a point at which the filter or the fan is as the prior has it,
// where a fit has bent it far off to explain what a fault of it would: from
// there the fault takes the place of that. Nil if it is not so.
func HandedOver(s *fit.Study, at fit.Point, v *fault.Variant) *fit.Point {
	if s.Both() != nil {
		return nil
	}
	var part int
	switch v.Kind {
	case fault.FilterLoaded:
		part = s.U.Filter
	case fault.FanWeak:
		part = s.U.Speed
	default:
		return nil
	}
	p, far := at.Clone(), 0.0
	for _, x := range s.U.Parts[part].Ix {
		if x >= 0 {
			far = max(far, math.Abs(p.Theta[x]-s.Pr.Mean[x]))
			p.Theta[x] = s.Pr.Mean[x]
			if p.Dual != nil {
				p.Dual[x] = 0
			}
		}
	}
	if far < bentOff {
		return nil
	}
	if s.Pr.V != nil {
		p.Dual = nil
	}
	return &p
}

// bentOff is how far from the prior mean, in standard deviations, a filter or a fan is bent.
const bentOff = 1.5

// LinearUpTo is how far a reading may be moved, in fresh errors, and be taken
// to move in proportion.
const LinearUpTo = 0.05

// FirstLook rates every addition by its linear effect, which comes with it by columns.
func FirstLook(s *fit.Study, f *fit.Fit, ss []*fault.Site) ([]Idea, *mat.Dense) {
	return (&Search{Sites: ss}).firstLook(s, f)
}

// joins is whether a fault may come beside others: each site once, and the filter in one state.
func (g *Search) joins(faults []*fault.Variant, v *fault.Variant) bool {
	if g.Joins != nil {
		return g.Joins(faults, v)
	}
	filter := g.Sites[v.Site].Where == fault.FilterPlace
	return !slices.ContainsFunc(faults, func(x *fault.Variant) bool {
		return x.Site == v.Site || filter && g.Sites[x.Site].Where == fault.FilterPlace
	})
}

// odds are the log prior of f with a further fault.
func (g *Search) odds(f *fit.Fit, faults []*fault.Variant) float64 {
	if g.Odds != nil {
		return g.Odds(faults)
	}
	v := faults[len(faults)-1]
	return f.Prior + LogOdds(g.Sites[v.Site].Prior) + math.Log(v.Weight)
}

func (g *Search) firstLook(s *fit.Study, f *fit.Fit) ([]Idea, *mat.Dense) {
	var out []Idea
	var list []*fault.Variant
	for _, st := range g.Sites {
		if st.Prior <= 0 {
			continue
		}
		for _, v := range st.Variants {
			if !g.joins(f.Faults, v) {
				continue
			}
			hy := fit.Hypothesis{Faults: append(append([]*fault.Variant(nil), f.Faults...), v), Rows: f.Rows}
			out = append(out, Idea{Hypothesis: hy, From: f, Prior: g.odds(f, hy.Faults), z: v.Usual().Mean})
			list = append(list, v)
		}
	}
	if len(out) == 0 {
		_ = s.Predict(f.At, f.Hypothesis, make([]float64, len(s.Observation))) // for the rows
		return nil, nil
	}
	effect := mat.NewDense(len(s.Observation), len(out), nil)
	Effects(s, f, list, effect)
	pull, size := pulls(&f.Fit.Chol, f.Fit.Alpha, effect)
	for k := range out {
		out[k].Score, out[k].Times = f.Evidence+out[k].Prior+AmplitudeGain(pull[k], size[k]), timesOf(pull[k], size[k])
	}
	return out, effect
}

// pulls are g and w of AmplitudeGain for each column of effects.
func pulls(chol *numeric.Cholesky, alpha *mat.VecDense, effect *mat.Dense) (g, size []float64) {
	_, n := effect.Dims()
	by := mat.NewVecDense(n, nil)
	by.MulVec(effect.T(), alpha)
	return by.RawVector().Data, chol.Sizes(effect)
}

// Effects fills in the linear effect of each variant at its usual severity on each
// observation, of two surveys on those of when it is there.
func Effects(s *fit.Study, f *fit.Fit, list []*fault.Variant, out *mat.Dense) {
	p := s.Both()
	if p == nil {
		effects(s, f.At, f.Hypothesis, list, -1, out)
		return
	}
	for k, part := range p.S {
		at, h, _ := p.Part(k, f.At, f.Hypothesis)
		from := p.Row(k)
		effects(part, at, h, list, k, out.Slice(from, from+len(part.Observation), 0, len(list)).(*mat.Dense))
	}
}

// effects are those on one survey, the which-th of two or -1.
func effects(s *fit.Study, at fit.Point, h fit.Hypothesis, list []*fault.Variant, which int, out *mat.Dense) {
	s.SetCoefs(at, h.Faults)
	slopes := make([][]fault.Slope, len(list))
	for k, v := range list {
		if which < 0 || v.When.At(which) {
			slopes[k] = v.Deltas(&s.Coef)
		}
	}
	if s.PredictSet(at, h, make([]float64, len(s.Observation)), nil) != nil {
		return
	}
	for c, st := range s.States {
		if len(s.By[c]) == 0 {
			continue
		}
		st.Prepare()
		for _, i := range s.By[c] {
			st.Sensitivity(s.Observation[i].Probe, s.Grad)
			row := out.RawRowView(i)
			for k, sl := range slopes {
				for _, e := range sl {
					row[k] += *e.Slot.Of(&s.Grad.Coefs) * e.By
				}
			}
		}
	}
}

func LogOdds(p float64) float64 { return math.Log(p / (1 - p)) }

// Tau2 is the spread of an amplitude about 1, squared.
const Tau2 = 0.8 * 0.8

// Amplitude is the likeliest a of a·d where ln a ~ N(0, τ²), with g and w as
// for amplitudeGain. It is where a fit had best start.
func Amplitude(g, w float64) float64 {
	lo, hi := -farthest, farthest
	for range 20 {
		l := (lo + hi) / 2
		if a := math.Exp(l); a*g-a*a*w-l/Tau2 > 0 {
			lo = l
		} else {
			hi = l
		}
	}
	return math.Exp(lo)
}

// farthest from 1 that an amplitude is looked for, as a logarithm.
const farthest = 2.

// AmplitudeGain is the log Bayes factor for adding a·d to the expectation with
// a ~ N(1, τ²), where g = dᵀS⁻¹r and w = dᵀS⁻¹d.
func AmplitudeGain(g, w float64) float64 {
	b := g + 1/Tau2
	if b <= 0 {
		b = 0
	}
	return 0.5*b*b/(w+1/Tau2) - 0.5/Tau2 - 0.5*math.Log(1+w*Tau2)
}

// ScreenRows does the same for wrong rows that promise no less than least; the
// change of one observation has its gain in closed form.
func ScreenRows(s *fit.Study, f *fit.Fit, rows []*fit.Wrong, least float64) []Idea {
	if len(rows) == 0 {
		return nil
	}
	inv := inverseDiagonal(s, f)
	if inv == nil {
		return nil
	}
	taken := map[int]int{}
	for k, w := range f.Rows {
		taken[w.Observation] = k + 1
	}
	var out []Idea
	for _, w := range rows {
		k := taken[w.Observation]
		gain := rowGain(s, f, w, f.Fit.Alpha.AtVec(w.Observation), inv[w.Observation])
		if math.IsNaN(gain) || k > 0 && f.Rows[k-1] == w {
			continue
		}
		prior := f.Prior + math.Log(w.Prior)
		if k > 0 {
			// another explanation of a row that is taken to be wrong already
			old := f.Rows[k-1]
			prior -= math.Log(old.Prior)
			gain -= old.Log
			if old.Drop {
				gain -= 0.5 * math.Log(2*math.Pi*f.Fit.Noise[w.Observation]*s.NoiseScale*s.NoiseScale)
			}
		}
		score := f.Evidence + prior + gain
		if score < least {
			continue
		}
		hy := fit.Hypothesis{Faults: f.Faults, Rows: append(slices.Clone(f.Rows), w)}
		if n := len(f.Rows); k > 0 {
			hy.Rows[k-1], hy.Rows = w, hy.Rows[:n]
		}
		out = append(out, Idea{Hypothesis: hy, From: f, Prior: prior, Score: score})
	}
	return out
}

// rowGain is the log Bayes factor for taking a row to be wrong in the way of w.
// a is [S⁻¹r] and q is [S⁻¹] of the row: given all others it is normal about
// y − a/q with variance 1/q.
func rowGain(s *fit.Study, f *fit.Fit, w *fit.Wrong, a, q float64) float64 {
	i := w.Observation
	mean := f.Fit.Y[i] - a/q
	here := -0.5 * a * a / q
	base := s.BaseNoise(i)
	v := 1/q - f.Fit.Noise[i]*s.NoiseScale*s.NoiseScale // what it should vary by, apart from its own error
	if o := &s.Observation[i]; w.Slip() {
		base = w.Noise()
		v = max(v-max(o.Gain*o.Gain-w.Gain*w.Gain, 0), 0)
	}
	v += base * s.NoiseScale * s.NoiseScale
	if v <= 0 {
		return math.NaN()
	}
	// of the row as it stands in the fit, to be taken out
	gain := -here - 0.5*math.Log(q)
	switch {
	case w.Drop:
		return gain + 0.5*math.Log(2*math.Pi) + w.Log
	case w.Cfg >= 0:
		// a change of the expectation is a change of the observation the other way
		d := s.Observation[i].Y - (s.Elsewhere(f.At, w) - f.Fit.H[i]) - mean
		return gain - 0.5*d*d/v - 0.5*math.Log(v) + w.Log
	}
	d := w.Y - mean
	return gain - 0.5*d*d/v - 0.5*math.Log(v) + w.Log
}

// keys gives each hypothesis one name whatever the order it was grown in.
func KeyOf(h fit.Hypothesis, vid map[*fault.Variant]int, wid map[*fit.Wrong]int) string {
	var a []int
	for _, v := range h.Faults {
		a = append(a, vid[v])
	}
	sort.Ints(a)
	var b []int
	for _, w := range h.Rows {
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
