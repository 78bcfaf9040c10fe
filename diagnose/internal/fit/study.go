package fit

import (
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/branch"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/observe"
)

// Prior is what is known of the parameters θ before a survey: mean, and
// covariance scale·I − V Vᵀ. Every parameter is standard normal to begin with;
// each baseline takes away what it has taught, and may have shown that the
// system lies further off its page than usual.
type Prior struct {
	Mean  []float64
	Scale float64
	V     *mat.Dense // n × k, nil: nothing learned yet
}

// Study is one survey against the model: θ is the shared as-built parameters,
// the survey's tap and profile errors, its instruments' lasting errors and its filter.
type Study struct {
	M           *airflow.Model
	U           *asbuilt.Unknowns
	B           *observe.Bound
	N           int // all parameters
	Observation []observe.Observation
	By          [][]int // configuration → observations
	Pr          Prior
	Day         int            // parameter of the air's density on the day
	Own         int            // first parameter of the survey itself: its instruments, then filter, speed, day
	Taps        map[string]int // tap → parameter of its own error

	States     []*airflow.State
	Coef       airflow.Coefs
	Vals       []float64
	Grad       *airflow.Gradient
	PriorScale float64 // factor on the spread of all parameters
	NoiseScale float64 // factor on the fresh errors; 1 apart from the unlisted
	solves     int
	Most       int               // solves after which no further fit is begun; 0: no bound
	Hard       int               // points given up that were hard to solve
	Lost       *asbuilt.Unknowns // of a thinned survey: the parameters left out
	All        int               // and how many there were
	Held       bool              // the parameters stay at their mean, and what they may be off counts as error: severities alone move
	Ref        *Detail           // the first linearisation, to take over what has not changed from
	Stop       func() bool       // says that nobody waits for the result any more; may be nil
	Failed     error
	spare      numeric.Cholesky // storage for a factor that is not kept
	branches   *branch.Branches // of the plant of a large survey
	pair       *Pair            // of two surveys weighed as one; nil: it is of one
}

// Pair is two surveys of one system, before and after a repair, weighed as one:
// how the system was built, and its taps, stand in both; instruments, filter,
// weather and the fan of the day are each survey's own. A fault may be there
// before, after, or at both times alike, as its variant says. The study is of the
// observations of both, the first survey's first.
type Pair struct {
	*Study
	S      [2]*Study
	Common int // parameters that both have
	first  int // parameters that the first survey has for itself
}

// Layout of parameters: shared as-built, shared by tap, then the survey's own.
type Layout struct {
	taps map[string]int // tap id (or id+"\x00axis") → parameter
	N    int            // all shared ones
}

// NewLayout gives each unknown of a system, and of the surveys, its place.
func NewLayout(u *asbuilt.Unknowns, surveys ...*observe.Bound) Layout {
	l := Layout{taps: map[string]int{}, N: u.N}
	for _, b := range surveys {
		for _, t := range b.Taps {
			if _, ok := l.taps[t]; !ok {
				l.taps[t] = l.N
				l.N++
			}
		}
	}
	return l
}

// Rested has done no work yet.
func (s *Study) Rested() { s.solves = 0 }

// Spent says whether the study has done the work that it may.
func (s *Study) Spent() bool { return s.Most > 0 && s.solves > s.Most }

// NewStudy is the study of a survey, with what is known before it.
func NewStudy(m *airflow.Model, u *asbuilt.Unknowns, l Layout, b *observe.Bound, shared Prior) *Study {
	s := &Study{M: m, B: b, Observation: append([]observe.Observation(nil), b.Observation...), Grad: m.NewGradient(), Coef: m.NewCoefs(), Vals: make([]float64, len(u.Parts))}
	own := l.N + len(b.Gains)
	s.U, s.Day = u.ForSurvey(own, own+1), own+2
	s.Own, s.Taps = l.N, l.taps
	s.N, s.PriorScale, s.NoiseScale = own+4, 1, 1 // the last is for what a mistake loosens: LooseAt
	for i := range s.Observation {
		o := &s.Observation[i]
		o.GainIx += l.N
		if o.TapIx >= 0 {
			o.TapIx = l.taps[b.Taps[o.TapIx]]
		}
		if o.AxisIx >= 0 {
			o.AxisIx = l.taps[b.Taps[o.AxisIx]]
		}
	}
	s.By = b.ByConfig()
	s.SetPrior(shared)
	s.States = Solvers(m, len(b.Configs))
	return s
}

// LooseAt is the parameter of what a mistake loosens, next to that of the day: how
// far the manometer's zero is off, or the air's density.
func LooseAt(day int) int { return day + 1 }

// SetPrior sets what is known of the shared parameters; the survey's own are unknown.
func (s *Study) SetPrior(shared Prior) {
	s.Pr = Prior{Mean: make([]float64, s.N), Scale: shared.Scale}
	copy(s.Pr.Mean, shared.Mean)
	s.Pr.Mean[s.Day] = s.B.Denser / asbuilt.DensityOfDay
	if shared.V != nil {
		_, k := shared.V.Dims()
		s.Pr.V = mat.NewDense(s.N, k, nil)
		s.Pr.V.Slice(0, len(shared.Mean), 0, k).(*mat.Dense).Copy(shared.V)
	}
}

// Both is the pair that a study of two surveys is of; nil: it is of one.
func (s *Study) Both() *Pair { return s.pair }

// Twin is the same study with solver states of its own, to work beside it.
func (s *Study) Twin() *Study {
	if s.pair != nil {
		return s.pair.Twin().Study
	}
	t := &Study{Grad: s.M.NewGradient(), Coef: s.M.NewCoefs(), Vals: make([]float64, len(s.Vals)), States: Solvers(s.M, len(s.States))}
	t.Like(s)
	return t
}

// Twin is the same pair with solver states of its own.
func (p *Pair) Twin() *Pair {
	t := *p
	t.S = [2]*Study{p.S[0].Twin(), p.S[1].Twin()}
	s := *p.Study
	s.pair, s.States, s.Ref, s.spare = &t, slices.Concat(t.S[0].States, t.S[1].States), nil, numeric.Cholesky{}
	t.Study = &s
	return &t
}

// Like makes a twin the same as a study that has changed, apart from what it works with.
func (s *Study) Like(o *Study) {
	grad, coef, vals, states, spare, pair := s.Grad, s.Coef, s.Vals, s.States, s.spare, s.pair
	*s = *o
	s.Grad, s.Coef, s.Vals, s.States, s.spare, s.pair = grad, coef, vals, states, spare, pair
}

// Solvers are solver states for so many configurations. What they leave of the
// balance is far less than any reading shows.
func Solvers(m *airflow.Model, n int) []*airflow.State {
	out := make([]*airflow.State, n)
	for c := range out {
		out[c] = m.NewState()
		out[c].Unchecked = true
	}
	return out
}

// Before is the prior mean.
func (s *Study) Before() Point { return Point{Theta: slices.Clone(s.Pr.Mean)} }

// Variances are the prior variances of the quantities that have the rows of j
// as gradients.
func (s *Study) Variances(j *mat.Dense) []float64 {
	n, _ := j.Dims()
	out := make([]float64, n)
	k2 := s.PriorScale * s.PriorScale
	var known mat.Dense
	if s.Pr.V != nil {
		known.Mul(j, s.Pr.V)
	}
	for i := range out {
		row := j.RawRowView(i)
		out[i] = k2 * s.Pr.Scale * floats.Dot(row, row)
		if s.Pr.V != nil {
			row = known.RawRowView(i)
			out[i] -= k2 * floats.Dot(row, row)
		}
	}
	return out
}

// Cov is the prior covariance of the parameters times x.
func (s *Study) Cov(x *mat.VecDense) *mat.VecDense {
	k2 := s.PriorScale * s.PriorScale
	out := mat.NewVecDense(s.N, nil)
	out.ScaleVec(k2*s.Pr.Scale, x)
	if s.Pr.V != nil {
		_, k := s.Pr.V.Dims()
		a, b := mat.NewVecDense(k, nil), mat.NewVecDense(s.N, nil)
		a.MulVec(s.Pr.V.T(), x)
		b.MulVec(s.Pr.V, a)
		out.AddScaledVec(out, -k2, b)
	}
	return out
}
