package track

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/observe"
	"lostair/readings/units"
)

// linearisation is what surveys that read the same points have in common: what the
// reference expects there, and how that follows from all that may differ.
type linearisation struct {
	t       *tracker
	s       *fit.Study
	h       []float64     // expected in the reference
	lasting *mat.SymDense // covariance of h
	ind     *mat.Dense    // derivatives by the indicators' usual changes
	fan     []float64     // by what the fan varies by from day to day
}

// layoutKey is equal for surveys that read the same points in the same order.
func layoutKey(b *observe.Bound) string {
	var s strings.Builder
	for i := range b.Observation {
		r := &b.Survey.Readings[b.Observation[i].Reading]
		fmt.Fprintf(&s, "%s|%s|%s|%d|%t\n", r.Open, r.Point, r.Quantity, b.Observation[i].Cfg, r.Positions == 0)
		s.WriteString(strings.Join(r.HoseOff, "+"))
	}
	return s.String()
}

func (t *tracker) newLinearisation(b *observe.Bound) (*linearisation, error) {
	s := fit.NewStudy(t.m, t.u, t.l, b, t.shared)
	s.Pr.Mean[s.Day-2] = t.filterAt
	m := len(s.Observation)
	l := &linearisation{t: t, s: s, h: make([]float64, m), ind: mat.NewDense(m, len(t.list), nil), lasting: mat.NewSymDense(m, nil), fan: make([]float64, m)}
	p := fit.Point{Theta: s.Pr.Mean}
	if err := s.Predict(p, fit.Hypothesis{}, l.h); err != nil {
		return nil, fmt.Errorf("%s: the model could not be solved: %w", b.Survey.File, err)
	}
	j := mat.NewDense(m, s.N, nil)
	s.Jacobian(p, fit.Hypothesis{}, j, nil)
	l.lasting.SymOuterK(s.Pr.Scale, j.Slice(0, m, 0, t.l.N))
	if s.Pr.V != nil {
		var jv mat.Dense
		jv.Mul(j, s.Pr.V)
		var q mat.SymDense
		q.SymOuterK(-1, &jv)
		l.lasting.AddSym(l.lasting, &q)
	}
	for i := range m {
		l.fan[i] = j.At(i, s.Day-1)
	}
	l.columns(s, s.Pr.Mean, t.list, l.ind)
	return l, nil
}

// columns fills in the derivatives by the indicators at the point last predicted.
func (l *linearisation) columns(s *fit.Study, theta []float64, list []*indicator, ind *mat.Dense) {
	for c, st := range s.States {
		if len(s.By[c]) == 0 {
			continue
		}
		st.Prepare()
		for _, i := range s.By[c] {
			o := &s.Observation[i]
			st.Sensitivity(o.Probe, s.Grad)
			k := 1.0
			if o.AxisIx >= 0 {
				k += theta[o.AxisIx] * asbuilt.ProfileError * fit.ProfilePower(o)
			}
			for x, in := range list {
				ind.Set(i, x, k*in.slope(&s.Coef, &s.Grad.Coefs))
			}
		}
	}
}

// slope is the derivative by an indicator's usual change, from those by coefficients.
func (x *indicator) slope(c, g *airflow.Coefs) float64 {
	switch x.kind {
	case fault.FilterLoaded:
		return g.Filter * x.base * x.unit
	case fault.FanWeak:
		return g.Speed * c.Speed * x.unit
	case fault.Leak, fault.Blockage:
	default:
		fault.NoCase("slope", x.kind)
	}
	var d float64
	for _, sp := range x.spots {
		d += *sp.Slot.Of(g) * sp.Share * x.unit
	}
	return d
}

// leastFilter keeps the filter from adding pressure.
const leastFilter = 0.05

// leastLoss keeps the loss of a port from falling to nothing.
const leastLoss = 0.02

// apply changes coefficients by an indicator's amount, in usual changes.
func (x *indicator) apply(c *airflow.Coefs, amount float64) {
	switch x.kind {
	case fault.FilterLoaded: // its drop is in proportion to it, so the readings are nearly linear in it
		c.Filter *= math.Max(1+amount*x.unit, leastFilter)
	case fault.FanWeak:
		c.Speed *= math.Exp(amount * x.unit)
	case fault.Blockage:
		p := x.spots[0].Slot.Of(c)
		*p = math.Max(*p+amount*x.spots[0].Share*x.unit, leastLoss)
	case fault.Leak:
		for _, sp := range x.spots {
			*sp.Slot.Of(c) += amount * sp.Share * x.unit
		}
	default:
		fault.NoCase("apply", x.kind)
	}
}

// linearFit is one survey through a lens.
type linearFit struct {
	l                 *linearisation
	b                 *observe.Bound
	list              []*indicator
	free              []int     // indicators that faults move, as far as they may
	start             []float64 // changes to begin with; nil: none
	x                 []float64 // the indicators' changes
	bentTo            []float64 // those at which the model was last linearised; nil: none
	r                 []float64 // readings less what is expected without the changes, linearised at x
	ind               *mat.Dense
	info, fresh, last *mat.SymDense
	pull              *mat.VecDense
	misfit            float64

	alpha *mat.VecDense
	inv   mat.SymDense
}

// farOut is how many times as large as expected a written value is that must be
// a slip: its instrument erred as it does where it stood, not where it is written.
const farOut = 3

func (l *linearisation) on(b *observe.Bound) *linearFit {
	c := *b
	c.Observation = slices.Clone(b.Observation)
	for i := range c.Observation {
		o := &c.Observation[i]
		if y := o.Y; math.Abs(y) > farOut*math.Abs(l.h[i]) {
			*o = o.Valued(l.h[i], b.Survey.Readings[o.Reading].Quantity, l.t.m.Air.Density)
			o.Y = y
		}
	}
	return &linearFit{l: l, b: &c, list: l.t.list, r: make([]float64, len(b.Observation))}
}

// follows lets an indicator follow a fault, from where that takes it.
func (v *linearFit) follows(c *cause) {
	v.list = slices.Clone(v.list)
	v.list[c.ind] = c.as
	if v.start == nil {
		v.start = make([]float64, len(v.list))
	}
	v.start[c.ind] = c.at
	if !slices.Contains(v.free, c.ind) {
		v.free = append(v.free, c.ind)
	}
}

// ridge is what draws an indicator to no change.
func (v *linearFit) ridge(i int) float64 {
	if slices.Contains(v.free, i) {
		return activeRidge
	}
	return 1
}

// weigh works out what the survey says of each indicator, apart from the rows that
// are set aside. Large changes bend the model; it is then linearised anew.
func (v *linearFit) weigh(aside map[int]bool) error {
	v.ind, v.x, v.bentTo = v.l.ind, nil, nil
	for i := range v.r {
		v.r[i] = v.b.Observation[i].Y - v.l.h[i]
	}
	if v.start != nil {
		v.x = slices.Clone(v.start)
		if !v.bend() {
			return fmt.Errorf("%s: the model could not be solved", v.b.Survey.File)
		}
	}
	f := v.spread(aside)
	for bend := 0; ; bend++ {
		if !v.solve(v.sound(f)) {
			return fmt.Errorf("%s: its readings can't be weighed", v.b.Survey.File)
		}
		if bend == bendsMost || !v.moved() || !v.bend() {
			break
		}
	}
	s := v.sound(f)
	v.quadratics(s, f)
	return v.judge(s)
}

// sound is the covariance of the readings of a sound system, its filter in
// any of its usual states.
func (v *linearFit) sound(f *mat.SymDense) *mat.SymDense {
	m := len(v.r)
	s := mat.NewSymDense(m, nil)
	s.AddSym(v.l.lasting, f)
	if x := v.l.t.filter; x >= 0 {
		in := v.l.t.list[x]
		col := mat.NewVecDense(m, nil)
		for i := range m {
			col.SetVec(i, v.ind.At(i, x)*in.usual/in.unit)
		}
		s.SymRankOne(s, 1, col)
	}
	return s
}

// spread is the covariance of what is new in each survey, the filter's state left out.
func (v *linearFit) spread(aside map[int]bool) *mat.SymDense {
	m := len(v.b.Observation)
	f := mat.NewSymDense(m, nil)
	for i := range m {
		a := &v.b.Observation[i]
		for j := i; j < m; j++ {
			b := &v.b.Observation[j]
			c := v.l.fan[i]*v.l.fan[j] + asbuilt.DensityOfDay*asbuilt.DensityOfDay*fit.DensityPower(a)*fit.DensityPower(b)*v.l.h[i]*v.l.h[j]
			if a.GainIx == b.GainIx {
				c += a.Gain * b.Gain
			}
			f.SetSym(i, j, c)
		}
		noise := a.Fresh*a.Fresh + fit.ModelError*fit.ModelError*a.Y*a.Y
		if aside[i] {
			noise *= fit.SetAside
		}
		f.SetSym(i, i, f.At(i, i)+noise)
	}
	return f
}

// solve finds the changes by the linear model.
func (v *linearFit) solve(s *mat.SymDense) bool {
	m, n := v.ind.Dims()
	var c mat.Cholesky
	if !c.Factorize(s) {
		return false
	}
	x := mat.NewDense(m, n, nil)
	if !numeric.Solved(c.SolveTo(x, v.ind)) {
		return false
	}
	v.info = sandwich(v.ind, x)
	v.pull = mat.NewVecDense(n, nil)
	v.pull.MulVec(x.T(), mat.NewVecDense(m, v.r))
	g := mat.NewSymDense(n, nil)
	g.CopySym(v.info)
	for i := range n {
		g.SetSym(i, i, g.At(i, i)+v.ridge(i))
	}
	var ch mat.Cholesky
	if !ch.Factorize(g) {
		return false
	}
	at := mat.NewVecDense(n, nil)
	if !numeric.Solved(ch.SolveVecTo(at, v.pull)) {
		return false
	}
	v.step(at.RawVector().Data)
	return true
}

// step moves towards the solution, no change by more than bendStep.
func (v *linearFit) step(to []float64) {
	if v.x == nil {
		v.x = make([]float64, len(to))
	}
	far := 0.0
	for i := range to {
		far = math.Max(far, math.Abs(to[i]-v.x[i]))
	}
	k := 1.0
	if far > bendStep {
		k = bendStep / far
	}
	for i := range to {
		v.x[i] += k * (to[i] - v.x[i])
	}
}

// moved says whether the changes have moved so far from where the model was
// linearised that it must be done anew.
func (v *linearFit) moved() bool {
	for i, x := range v.x {
		was := 0.0
		if v.bentTo != nil {
			was = v.bentTo[i]
		}
		if math.Abs(x-was) > bentAt {
			return true
		}
	}
	return false
}

// bend linearises the model at the changes found; false if it can't be solved there.
func (v *linearFit) bend() bool {
	s := v.l.s.Twin()
	theta := s.Pr.Mean
	s.U.Coefs(theta, &s.Coef, s.Vals)
	for i, x := range v.list {
		x.apply(&s.Coef, v.x[i])
	}
	h := make([]float64, len(v.r))
	if s.PredictSet(fit.Point{Theta: theta}, fit.Hypothesis{}, h, nil) != nil {
		return false
	}
	m, n := v.ind.Dims()
	ind := mat.NewDense(m, n, nil)
	v.l.columns(s, theta, v.list, ind)
	for i := range v.r {
		r := v.b.Observation[i].Y - h[i]
		for x, d := range ind.RawRowView(i) {
			r += d * v.x[x]
		}
		v.r[i] = r
	}
	v.ind, v.bentTo = ind, append([]float64(nil), v.x...)
	return true
}

// quadratics works out how the changes err.
func (v *linearFit) quadratics(s, f *mat.SymDense) {
	m, n := v.ind.Dims()
	var c mat.Cholesky
	x := mat.NewDense(m, n, nil)
	if c.Factorize(s) && numeric.Solved(c.SolveTo(x, v.ind)) {
		v.fresh, v.last = quadratic(f, x), quadratic(v.l.lasting, x)
	}
}

// judge works out how far each reading lies off what all others say, the
// changes being free as far as they usually are.
func (v *linearFit) judge(s *mat.SymDense) error {
	m := len(v.r)
	all := mat.NewSymDense(m, nil)
	all.SymOuterK(1, v.ind)
	for _, x := range v.free {
		all.SymRankOne(all, 1/activeRidge-1, v.ind.ColView(x))
	}
	all.AddSym(all, s)
	var c mat.Cholesky
	v.alpha = mat.NewVecDense(m, nil)
	r := mat.NewVecDense(m, v.r)
	if !c.Factorize(all) || !numeric.Solved(c.SolveVecTo(v.alpha, r)) || !numeric.Solved(c.InverseTo(&v.inv)) || v.fresh == nil {
		return fmt.Errorf("%s: its readings can't be weighed", v.b.Survey.File)
	}
	v.misfit = mat.Dot(r, v.alpha) / float64(m)
	return nil
}

// oddest is the reading that lies furthest off what all others say, with what
// would fit in its place; false if it lies within the limit.
func (v *linearFit) oddest(aside, keep map[int]bool) (setAsideRow, bool) {
	worst, far := -1, OddLimit
	for i := range v.r {
		if z := v.off(i); z > far && !aside[i] && !keep[i] {
			worst, far = i, z
		}
	}
	if worst < 0 {
		return setAsideRow{}, false
	}
	return setAsideRow{Observation: worst, fits: v.b.Observation[worst].Y - v.alpha.AtVec(worst)/v.inv.At(worst, worst)}, true
}

// expected is what a reading should be with the changes that were found.
func (v *linearFit) expected(i int) float64 {
	y := v.b.Observation[i].Y - v.r[i]
	for x, d := range v.ind.RawRowView(i) {
		y += d * v.x[x]
	}
	return y
}

// off is by how many standard deviations a reading lies off all others.
func (v *linearFit) off(i int) float64 { return math.Abs(v.alpha.AtVec(i)) / math.Sqrt(v.inv.At(i, i)) }

func sandwich(a, b *mat.Dense) *mat.SymDense {
	var p mat.Dense
	p.Mul(a.T(), b)
	n, _ := p.Dims()
	out := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			out.SetSym(i, j, (p.At(i, j)+p.At(j, i))/2)
		}
	}
	return out
}

func quadratic(s *mat.SymDense, x *mat.Dense) *mat.SymDense {
	var p mat.Dense
	p.Mul(s, x)
	return sandwich(x, &p)
}

// portsAtRest works out each port's flow alone in the reference, and how the
// indicators move it.
func (t *tracker) portsAtRest() error {
	vals := make([]float64, len(t.u.Parts))
	page := t.m.NewCoefs()
	t.u.Coefs(t.shared.Mean, &page, vals)
	c := t.coefs()
	t.portSD = nil
	var err error
	t.portFlow, t.portGrad, err = t.portsBy(&c, t.list, func(g *airflow.Gradient, q float64) {
		t.portSD = append(t.portSD, t.spreadOf(g, vals, q))
	})
	return err
}

// portsBy works out each port's flow alone, and how the indicators of a list move its
// logarithm.
func (t *tracker) portsBy(c *airflow.Coefs, list []*indicator, each func(g *airflow.Gradient, q float64)) (flow []float64, grad [][]float64, err error) {
	st, g := t.m.NewState(), t.m.NewGradient()
	for p, port := range t.m.Sys.Ports {
		probe, err := t.m.ProbeAt(port.ID, units.FlowRate)
		if err != nil {
			return nil, nil, err
		}
		if err := st.Solve(c, airflow.Alone(t.m, p)); err != nil {
			return nil, nil, fmt.Errorf("port %s: %w", port.ID, err)
		}
		st.Prepare()
		st.Sensitivity(probe, g)
		q := math.Max(st.Value(probe), 1e-9)
		row := make([]float64, len(list))
		for i, x := range list {
			row[i] = x.slope(c, &g.Coefs) / q
		}
		flow, grad = append(flow, q), append(grad, row)
		if each != nil {
			each(g, q)
		}
	}
	return flow, grad, nil
}

// spreadOf is the standard deviation of the logarithm of a flow in the
// reference; the filter's state is another one each day and left out.
func (t *tracker) spreadOf(g *airflow.Gradient, vals []float64, q float64) float64 {
	j := make([]float64, t.l.N)
	t.u.Row(g, vals, j)
	j[t.u.Parts[t.u.Filter].Ix[0]] = 0
	x := mat.NewVecDense(t.l.N, j)
	v := t.shared.Scale * mat.Dot(x, x)
	if t.shared.V != nil {
		_, k := t.shared.V.Dims()
		y := mat.NewVecDense(k, nil)
		y.MulVec(t.shared.V.T(), x)
		v -= mat.Dot(y, y)
	}
	return math.Sqrt(math.Max(v, 0)) / q
}

// coefsAt are the coefficients of the reference with the indicators' changes.
func (t *tracker) coefsAt(list []*indicator, at []float64) airflow.Coefs {
	c := t.coefs()
	for i, x := range list {
		x.apply(&c, at[i])
	}
	return c
}

// flowsAt are the ports' flows, each alone, with the indicators' changes; nil if
// the model can't be solved there.
func (t *tracker) flowsAt(list []*indicator, at []float64) []float64 {
	c, st := t.coefsAt(list, at), t.m.NewState()
	var out []float64
	for p := range t.m.Sys.Ports {
		if st.Solve(&c, airflow.Alone(t.m, p)) != nil {
			return nil
		}
		out = append(out, st.PortFlow(p))
	}
	return out
}
