package diagnose

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/readings/units"
)

// prior is what is known of the parameters θ before a survey: mean, and
// covariance scale·I − V Vᵀ. Every parameter is standard normal to begin with;
// each baseline takes away what it has taught, and may have shown that the
// system lies further off its page than usual.
type prior struct {
	mean  []float64
	scale float64
	v     *mat.Dense // n × k, nil: nothing learned yet
}

// study is one survey against the model: θ is the shared as-built parameters,
// the survey's tap and profile errors, its instruments' lasting errors and its filter.
type study struct {
	m    *airflow.Model
	u    *unknowns
	b    *bound
	n    int // all parameters
	obs  []obs
	by   [][]int // configuration → observations
	pr   prior
	day  int            // parameter of the air's density on the day
	own  int            // first parameter of the survey itself: its instruments, then filter, speed, day
	taps map[string]int // tap → parameter of its own error

	states []*airflow.State
	coef   airflow.Coefs
	vals   []float64
	grad   *airflow.Gradient
	kappa  float64 // factor on the spread of all parameters
	rough  float64 // factor on the fresh errors; 1 but for the unlisted
	solves int
	hard   int        // points given up that were hard to solve
	lost   *unknowns  // of a thinned survey: the parameters left out
	all    int        // and how many there were
	bar    float64    // evidence that a fit must come near, or it is given up
	exact  bool       // no derivatives are taken over that have changed at all
	ref    *fitDetail // of a thinned survey: a linearisation to take over what has not changed from
	failed error
	spare  cholesky // storage for a factor that is not kept
}

// layout of parameters: shared as-built, shared by tap, then the survey's own.
type layout struct {
	taps map[string]int // tap id (or id+"\x00axis") → parameter
	n    int            // all shared ones
}

func newLayout(u *unknowns, surveys ...*bound) layout {
	l := layout{taps: map[string]int{}, n: u.n}
	for _, b := range surveys {
		for _, t := range b.taps {
			if _, ok := l.taps[t]; !ok {
				l.taps[t] = l.n
				l.n++
			}
		}
	}
	return l
}

func newStudy(m *airflow.Model, u *unknowns, l layout, b *bound, shared prior) *study {
	s := &study{m: m, b: b, obs: append([]obs(nil), b.obs...), grad: m.NewGradient(), coef: m.NewCoefs(), vals: make([]float64, len(u.parts))}
	own := l.n + len(b.gains)
	s.u, s.day = u.forSurvey(own, own+1), own+2
	s.own, s.taps = l.n, l.taps
	s.n, s.kappa, s.rough = own+3, 1, 1
	s.bar = math.Inf(-1)
	for i := range s.obs {
		o := &s.obs[i]
		o.gainIx += l.n
		if o.tapIx >= 0 {
			o.tapIx = l.taps[b.taps[o.tapIx]]
		}
		if o.axisIx >= 0 {
			o.axisIx = l.taps[b.taps[o.axisIx]]
		}
	}
	s.by = b.byConfig()
	s.believe(shared)
	s.states = solvers(m, len(b.configs))
	return s
}

// believe sets what is known of the shared parameters; the survey's own are unknown.
func (s *study) believe(shared prior) {
	s.pr = prior{mean: make([]float64, s.n), scale: shared.scale}
	copy(s.pr.mean, shared.mean)
	if shared.v != nil {
		_, k := shared.v.Dims()
		s.pr.v = mat.NewDense(s.n, k, nil)
		s.pr.v.Slice(0, len(shared.mean), 0, k).(*mat.Dense).Copy(shared.v)
	}
}

// Errors of a tap and of the profile at a tap. Common practice, no source: a
// burr or a hole off its place shifts a static pressure by a few hundredths of
// the velocity pressure there; a profile behind a bend is flatter or fuller
// than a developed one by some hundredths.
const (
	tapError     = 0.03
	profileError = 0.05
	densityOfDay = 0.01  // weather and temperature on the day, of the air's density
	speedOfDay   = 0.005 // of the fan's speed
)

// point is where a fit stands: parameters and severities.
type point struct {
	theta []float64
	z     []float64
	dual  []float64 // θ = μ + C·dual, with C before the factor on the spread; nil: not known
}

func (p point) clone() point {
	return point{slices.Clone(p.theta), slices.Clone(p.z), slices.Clone(p.dual)}
}

// setCoefs works out the coefficients for a point with faults.
func (s *study) setCoefs(p point, faults []*variant) {
	s.u.coefs(p.theta, &s.coef, s.vals)
	for i, v := range faults {
		v.apply(&s.coef, p.z[i])
		switch v.kind {
		case FanWeak:
			s.vals[s.u.speed] = 0 // the speed is the fault's, whatever it was before
		case FilterLoaded:
			s.vals[s.u.filter] *= v.severity(p.z[i]) // a multiple of the filter as built
		}
	}
}

// predict solves every configuration and writes what each observation should be into h.
func (s *study) predict(p point, h hypothesis, out []float64) error {
	s.setCoefs(p, h.faults)
	return s.predictSet(p, h, out, nil)
}

// predictSet is predict with the coefficients set before, in the
// configurations that where says; nil: in all.
func (s *study) predictSet(p point, h hypothesis, out []float64, where []bool) error {
	for c, st := range s.states {
		if len(s.by[c]) == 0 || where != nil && !where[c] {
			continue
		}
		s.solves++
		if err := st.Solve(&s.coef, s.b.configs[c].Config); err != nil {
			s.failed = err
			return err
		}
		for _, i := range s.by[c] {
			out[i] = s.value(st, p.theta, i)
		}
	}
	for _, w := range h.rows {
		switch {
		case w.cfg >= 0:
			out[w.obs] = s.elsewhere(p, w)
		case w.slip() && s.obs[w.obs].off == 0:
			o := &s.obs[w.obs]
			out[w.obs] += p.theta[o.gainIx] * (w.gain - o.gain)
		}
	}
	return nil
}

// elsewhere is what a row should be if it was read otherwise than written:
// with other gates, at another point, or as a total pressure.
func (s *study) elsewhere(p point, w *wrong) float64 {
	st := s.states[w.cfg]
	if len(s.by[w.cfg]) == 0 {
		if err := st.Solve(&s.coef, s.b.configs[w.cfg].Config); err != nil {
			return math.NaN()
		}
	}
	o := s.as(w)
	y := valueOf(st, p.theta, &o, s.day)
	switch {
	case w.total && o.probe.Quantity() == units.Suction:
		y -= st.VelocityPressure(o.probe)
	case w.total:
		y += st.VelocityPressure(o.probe)
	}
	return y
}

// as is the observation that a wrong row really was.
func (s *study) as(w *wrong) obs {
	o := s.obs[w.obs]
	if w.slip() {
		o.y, o.gain, o.fresh = w.y, w.gain, w.fresh
	}
	if w.probe != nil {
		o.probe, o.tapIx, o.axisIx = *w.probe, -1, -1
	}
	return o
}

// value is one observation's expectation, the tap's, profile's and instrument's own errors included.
func (s *study) value(st *airflow.State, theta []float64, i int) float64 {
	return valueOf(st, theta, &s.obs[i], s.day)
}

func valueOf(st *airflow.State, theta []float64, o *obs, day int) float64 {
	y := st.Value(o.probe)
	if o.tapIx >= 0 {
		y += theta[o.tapIx] * tapError * st.VelocityPressure(o.probe)
	}
	if o.axisIx >= 0 {
		y *= 1 + theta[o.axisIx]*profileError*profilePower(o)
	}
	y *= 1 + theta[day]*densityOfDay*densityPower(o)
	if o.off != 0 {
		return y * math.Exp(theta[o.gainIx]*o.off)
	}
	return y + theta[o.gainIx]*o.gain
}

// densityPower: at the same flow every pressure is in proportion to density;
// flows hardly change, since fan and losses change alike.
func densityPower(o *obs) float64 {
	if o.probe.Quantity().Dimension() == units.Pressure && o.probe.Quantity() != units.PressureDrop {
		return 1
	}
	return 0
}

func profilePower(o *obs) float64 {
	if o.probe.Quantity() == units.VelocityPressure {
		return 2
	}
	return 1
}

// jacobian fills J (observations × parameters) and Jz (observations × faults)
// at the point last predicted.
func (s *study) jacobian(p point, h hypothesis, j, jz *mat.Dense) {
	j.Zero()
	s.derive(p, h, jz, j.RawRowView, func(int) bool { return true }, func(int) {})
}

// derive works the derivatives of each observation out in what row gives for
// it, of those that need says, and calls done after each. Those by severities
// go to jz for all, unless it is nil.
func (s *study) derive(p point, h hypothesis, jz *mat.Dense, row func(i int) []float64, need func(i int) bool, done func(i int)) {
	var slopes [][]slope
	for k, v := range h.faults {
		if jz != nil {
			slopes = append(slopes, v.slopes(&s.coef, p.z[k]))
		}
	}
	alt := map[int]*wrong{}
	for _, w := range h.rows {
		if !w.drop {
			alt[w.obs] = w
		}
	}
	for c, st := range s.states {
		if len(slopes) == 0 && !slices.ContainsFunc(s.by[c], need) {
			continue
		}
		st.Prepare()
		for _, i := range s.by[c] {
			if !need(i) {
				s.severityRow(st, p.theta, i, jz, slopes)
				continue
			}
			use, o := st, &s.obs[i]
			if w, ok := alt[i]; ok {
				really := s.as(w)
				o = &really
				if w.cfg >= 0 {
					use = s.states[w.cfg]
					use.Prepare()
				}
			}
			s.jacobianRow(use, p.theta, o, i, row(i), jz, slopes)
			done(i)
		}
	}
}

func (s *study) jacobianRow(st *airflow.State, theta []float64, o *obs, i int, row []float64, jz *mat.Dense, slopes [][]slope) {
	st.Sensitivity(o.probe, s.grad)
	s.u.row(s.grad, s.vals, row)
	y, scale := st.Value(o.probe), 1.0
	if o.tapIx >= 0 {
		by := tapError * st.VelocityPressure(o.probe)
		row[o.tapIx] += by
		y += theta[o.tapIx] * by
	}
	// What multiplies the reading multiplies its slopes.
	multiply := func(ix int, k, by float64) { // by: the slope of k by the parameter
		floats.Scale(k, row)
		row[ix] += by * y
		y, scale = y*k, scale*k
	}
	if o.axisIx >= 0 {
		by := profileError * profilePower(o)
		multiply(o.axisIx, 1+theta[o.axisIx]*by, by)
	}
	if p := densityPower(o); p != 0 {
		by := densityOfDay * p
		multiply(s.day, 1+theta[s.day]*by, by)
	}
	if o.off != 0 {
		k := math.Exp(theta[o.gainIx] * o.off)
		multiply(o.gainIx, k, o.off*k)
	} else {
		row[o.gainIx] += o.gain
	}
	s.bySlopes(i, scale, jz, slopes)
}

// severityRow is the part of jacobianRow that goes to jz.
func (s *study) severityRow(st *airflow.State, theta []float64, i int, jz *mat.Dense, slopes [][]slope) {
	if len(slopes) == 0 {
		return
	}
	o, scale := &s.obs[i], 1.0
	st.Sensitivity(o.probe, s.grad)
	if o.axisIx >= 0 {
		scale *= 1 + theta[o.axisIx]*profileError*profilePower(o)
	}
	scale *= 1 + theta[s.day]*densityOfDay*densityPower(o)
	if o.off != 0 {
		scale *= math.Exp(theta[o.gainIx] * o.off)
	}
	s.bySlopes(i, scale, jz, slopes)
}

// bySlopes fills in what the severities do to an observation, from the gradient last worked out.
func (s *study) bySlopes(i int, scale float64, jz *mat.Dense, slopes [][]slope) {
	for k, sl := range slopes {
		var d float64
		for _, e := range sl {
			d += *e.slot.Of(&s.grad.Coefs) * e.by
		}
		jz.Set(i, k, d*scale)
	}
}

// twin is the same study with solver states of its own, to work beside it.
func (s *study) twin() *study {
	t := &study{grad: s.m.NewGradient(), coef: s.m.NewCoefs(), vals: make([]float64, len(s.vals)), states: solvers(s.m, len(s.states))}
	t.like(s)
	return t
}

// like makes a twin the same as a study that has changed, but for what it works with.
func (s *study) like(o *study) {
	grad, coef, vals, states, spare := s.grad, s.coef, s.vals, s.states, s.spare
	*s = *o
	s.grad, s.coef, s.vals, s.states, s.spare = grad, coef, vals, states, spare
}

// solvers are solver states for so many configurations. What they leave of the
// balance is far less than any reading shows.
func solvers(m *airflow.Model, n int) []*airflow.State {
	out := make([]*airflow.State, n)
	for c := range out {
		out[c] = m.NewState()
		out[c].Unchecked = true
	}
	return out
}

// before is the prior mean.
func (s *study) before() point { return point{theta: slices.Clone(s.pr.mean)} }

// variances are the prior variances of the quantities that have the rows of j
// as gradients.
func (s *study) variances(j *mat.Dense) []float64 {
	n, _ := j.Dims()
	out := make([]float64, n)
	k2 := s.kappa * s.kappa
	var known mat.Dense
	if s.pr.v != nil {
		known.Mul(j, s.pr.v)
	}
	for i := range out {
		row := j.RawRowView(i)
		out[i] = k2 * s.pr.scale * floats.Dot(row, row)
		if s.pr.v != nil {
			row = known.RawRowView(i)
			out[i] -= k2 * floats.Dot(row, row)
		}
	}
	return out
}

// cov is the prior covariance of the parameters times x.
func (s *study) cov(x *mat.VecDense) *mat.VecDense {
	k2 := s.kappa * s.kappa
	out := mat.NewVecDense(s.n, nil)
	out.ScaleVec(k2*s.pr.scale, x)
	if s.pr.v != nil {
		_, k := s.pr.v.Dims()
		a, b := mat.NewVecDense(k, nil), mat.NewVecDense(s.n, nil)
		a.MulVec(s.pr.v.T(), x)
		b.MulVec(s.pr.v, a)
		out.AddScaledVec(out, -k2, b)
	}
	return out
}
