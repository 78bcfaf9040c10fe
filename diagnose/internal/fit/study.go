package fit

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/branch"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/observe"
	"lostair/readings/units"
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

// Layout of parameters: shared as-built, shared by tap, then the survey's own.
type Layout struct {
	taps map[string]int // tap id (or id+"\x00axis") → parameter
	N    int            // all shared ones
}

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

// Point is where a fit stands: parameters and severities.
type Point struct {
	Theta []float64
	Z     []float64
	Dual  []float64 // θ = μ + C·dual, with C before the factor on the spread; nil: not known
}

func (p Point) Clone() Point {
	return Point{slices.Clone(p.Theta), slices.Clone(p.Z), slices.Clone(p.Dual)}
}

// SetCoefs works out the coefficients for a point with faults.
func (s *Study) SetCoefs(p Point, faults []*fault.Variant) {
	s.U.Coefs(p.Theta, &s.Coef, s.Vals)
	for i, v := range faults {
		v.Apply(&s.Coef, p.Z[i])
		switch v.Kind {
		case fault.FanWeak:
			s.Vals[s.U.Speed] *= v.Keeps(p.Z[i])
		case fault.FilterLoaded:
			s.Vals[s.U.Filter] *= v.Keeps(p.Z[i])
		}
	}
}

// Predict solves every configuration and writes what each observation should be into h.
func (s *Study) Predict(p Point, h Hypothesis, out []float64) error {
	if s.pair != nil {
		return s.pair.predict(p, h, out)
	}
	s.SetCoefs(p, h.Faults)
	return s.PredictSet(p, h, out, nil)
}

// PredictSet is predict with the coefficients set before, in the
// configurations that where says; nil: in all.
func (s *Study) PredictSet(p Point, h Hypothesis, out []float64, where []bool) error {
	for c, st := range s.States {
		if len(s.By[c]) == 0 || where != nil && !where[c] {
			continue
		}
		s.solves++
		if err := st.Solve(&s.Coef, s.B.Configs[c].Config); err != nil {
			s.Failed = err
			return err
		}
		for _, i := range s.By[c] {
			out[i] = s.Value(st, p.Theta, i)
		}
	}
	for _, w := range h.Rows {
		switch {
		case w.Cfg >= 0:
			out[w.Observation] = s.Elsewhere(p, w)
		case w.Slip() && s.Observation[w.Observation].Off == 0:
			o := &s.Observation[w.Observation]
			out[w.Observation] += p.Theta[o.GainIx] * (w.Gain - o.Gain)
		}
	}
	return nil
}

// Elsewhere is what a row should be if it was read otherwise than written:
// with other gates, at another point, or as a total pressure.
func (s *Study) Elsewhere(p Point, w *Wrong) float64 {
	st := s.States[w.Cfg]
	if len(s.By[w.Cfg]) == 0 {
		if err := st.Solve(&s.Coef, s.B.Configs[w.Cfg].Config); err != nil {
			return math.NaN()
		}
	}
	o := s.as(w)
	y := ValueOf(st, p.Theta, &o, s.Day)
	switch {
	case w.Total && o.Probe.Quantity() == units.Suction:
		y -= st.VelocityPressure(o.Probe)
	case w.Total:
		y += st.VelocityPressure(o.Probe)
	}
	return y
}

// as is the observation that a wrong row really was.
func (s *Study) as(w *Wrong) observe.Observation {
	o := s.Observation[w.Observation]
	if w.Slip() {
		o.Y, o.Gain, o.Fresh = w.Y, w.Gain, w.Fresh
	}
	if w.Probe != nil {
		o.Probe, o.TapIx, o.AxisIx = *w.Probe, -1, -1
	}
	return o
}

// Value is one observation's expectation, the tap's, profile's and instrument's own errors included.
func (s *Study) Value(st *airflow.State, theta []float64, i int) float64 {
	return ValueOf(st, theta, &s.Observation[i], s.Day)
}

func ValueOf(st *airflow.State, theta []float64, o *observe.Observation, day int) float64 {
	y := st.Value(o.Probe)
	if o.TapIx >= 0 {
		y += theta[o.TapIx] * asbuilt.TapError * st.VelocityPressure(o.Probe)
	}
	if o.AxisIx >= 0 {
		y *= 1 + theta[o.AxisIx]*asbuilt.ProfileError*ProfilePower(o)
	}
	y *= 1 + theta[day]*asbuilt.DensityOfDay*DensityPower(o)
	if o.Air != 0 {
		y *= math.Exp(theta[LooseAt(day)] * o.Air)
	}
	if o.Off != 0 {
		y *= math.Exp(theta[o.GainIx] * o.Off)
	} else {
		y += theta[o.GainIx] * o.Gain
	}
	if o.Zero != 0 {
		y += theta[LooseAt(day)] * o.Zero
	}
	return y
}

// densityPower: at the same flow every pressure is in proportion to density;
// flows hardly change, since fan and losses change alike.
func DensityPower(o *observe.Observation) float64 {
	if o.Probe.Quantity().Dimension() == units.Pressure && o.Probe.Quantity() != units.PressureDrop {
		return 1
	}
	return 0
}

// ProfilePower is how many times the profile's error a reading has: at a port the
// profile may be anything from flat to developed.
func ProfilePower(o *observe.Observation) float64 {
	out := 1.0
	if o.Probe.Quantity() == units.VelocityPressure {
		out = 2
	}
	if o.Probe.AtPort() {
		out *= asbuilt.ProfileAtPort
	}
	return out
}

// Jacobian fills J (observations × parameters) and Jz (observations × faults)
// at the point last predicted.
func (s *Study) Jacobian(p Point, h Hypothesis, j, jz *mat.Dense) {
	j.Zero()
	s.derive(p, h, jz, j.RawRowView, func(int) bool { return true }, func(int) {})
}

// derive works the derivatives of each observation out in what row gives for
// it, of those that need says, and calls done after each. Those by severities
// go to jz for all, unless it is nil.
func (s *Study) derive(p Point, h Hypothesis, jz *mat.Dense, row func(i int) []float64, need func(i int) bool, done func(i int)) {
	if s.pair != nil {
		s.pair.derive(p, h, jz, row, need, done)
		return
	}
	var slopes [][]fault.Slope
	for k, v := range h.Faults {
		if jz != nil {
			slopes = append(slopes, v.Slopes(&s.Coef, p.Z[k]))
		}
	}
	alt := map[int]*Wrong{}
	for _, w := range h.Rows {
		if !w.Drop {
			alt[w.Observation] = w
		}
	}
	for c, st := range s.States {
		if len(s.By[c]) == 0 || len(slopes) == 0 && !slices.ContainsFunc(s.By[c], need) {
			continue
		}
		st.Prepare()
		for _, i := range s.By[c] {
			if !need(i) {
				if len(slopes) > 0 {
					s.JacobianRow(st, p.Theta, &s.Observation[i], i, nil, jz, slopes)
				}
				continue
			}
			use, o := st, &s.Observation[i]
			if w, ok := alt[i]; ok {
				really := s.as(w)
				o = &really
				if w.Cfg >= 0 {
					use = s.States[w.Cfg]
					use.Prepare()
				}
			}
			s.JacobianRow(use, p.Theta, o, i, row(i), jz, slopes)
			done(i)
		}
	}
}

// JacobianRow adds the slopes of observation i, read as o says, by every parameter to
// row, unless that is nil, and sets those by the severities in jz.
func (s *Study) JacobianRow(st *airflow.State, theta []float64, o *observe.Observation, i int, row []float64, jz *mat.Dense, slopes [][]fault.Slope) {
	st.Sensitivity(o.Probe, s.Grad)
	if row != nil {
		s.U.Row(s.Grad, s.Vals, row)
	}
	y, scale := st.Value(o.Probe), 1.0
	plus := func(ix int, by float64) {
		if row != nil {
			row[ix] += by
		}
	}
	// What multiplies the reading multiplies its slopes.
	multiply := func(ix int, k, by float64) { // by: the slope of k by the parameter
		floats.Scale(k, row)
		plus(ix, by*y)
		y, scale = y*k, scale*k
	}
	if o.TapIx >= 0 {
		by := asbuilt.TapError * st.VelocityPressure(o.Probe)
		plus(o.TapIx, by)
		y += theta[o.TapIx] * by
	}
	if o.AxisIx >= 0 {
		by := asbuilt.ProfileError * ProfilePower(o)
		multiply(o.AxisIx, 1+theta[o.AxisIx]*by, by)
	}
	if p := DensityPower(o); p != 0 {
		by := asbuilt.DensityOfDay * p
		multiply(s.Day, 1+theta[s.Day]*by, by)
	}
	if o.Air != 0 {
		k := math.Exp(theta[LooseAt(s.Day)] * o.Air)
		multiply(LooseAt(s.Day), k, o.Air*k)
	}
	if o.Off != 0 {
		k := math.Exp(theta[o.GainIx] * o.Off)
		multiply(o.GainIx, k, o.Off*k)
	} else {
		plus(o.GainIx, o.Gain)
	}
	if o.Zero != 0 {
		plus(LooseAt(s.Day), o.Zero)
	}
	s.bySlopes(i, scale, jz, slopes)
}

// bySlopes fills in what the severities do to an observation, from the gradient last worked out.
func (s *Study) bySlopes(i int, scale float64, jz *mat.Dense, slopes [][]fault.Slope) {
	for k, sl := range slopes {
		var d float64
		for _, e := range sl {
			d += *e.Slot.Of(&s.Grad.Coefs) * e.By
		}
		jz.Set(i, k, d*scale)
	}
}

// Both is the pair that a study of two surveys is of; nil: it is of one.
func (s *Study) Both() *Pair { return s.pair }

// SetAside believes nothing of an observation from here on.
func (s *Study) SetAside(i int) { s.Observation[i].Fresh *= math.Sqrt(SetAside) }

// Twin is the same study with solver states of its own, to work beside it.
func (s *Study) Twin() *Study {
	if s.pair != nil {
		return s.pair.Twin().Study
	}
	t := &Study{Grad: s.M.NewGradient(), Coef: s.M.NewCoefs(), Vals: make([]float64, len(s.Vals)), States: Solvers(s.M, len(s.States))}
	t.Like(s)
	return t
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
