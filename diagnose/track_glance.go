package diagnose

import (
	"context"
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/readings/units"
)

// tracker looks at surveys one by one, each against the same reference: what
// the surveys taken as sound have taught of the as-built system.
type tracker struct {
	m      *airflow.Model
	u      *unknowns
	l      layout
	list   []*indicator
	shared prior
}

// glance is what one survey says of the indicators.
type glance struct {
	s    *study
	f    *fitted
	list []*indicator

	// With S the covariance of the readings of a sound system, J the indicators'
	// columns, r what the readings lie off and F the part of S that is new in
	// each survey: X = S⁻¹J, info = JᵀX, pull = Xᵀr, fresh = XᵀFX, last = Xᵀ(S−F)X.
	info, fresh, last *mat.SymDense
	pull              *mat.VecDense

	ports  []change // logarithm of each port's flow, alone, to that without the changes
	flows  []estimate
	wrong  []*wrong
	misfit float64 // of the readings left, per reading; about 1
}

// change is an estimate of how far something has moved from the reference.
type change struct {
	value   float64
	sd      float64 // posterior
	fresh   float64 // standard deviation that is new in each survey, if nothing has changed
	lasting float64 // standard deviation of what all surveys against this reference have in common
	none    bool    // the survey says nothing of it
}

// glance fits a survey's indicators, wrong rows set aside.
func (t *tracker) glance(b *bound) (*glance, error) {
	s := newStudy(t.m, t.u, t.l, b, t.shared)
	k := &glance{s: s, list: s.watch(t.list)}
	if len(s.obs) == 0 {
		return nil, fmt.Errorf("%s: there is no reading in it", b.survey.File)
	}
	k.f = s.fitRobust()
	if !k.f.ok {
		return nil, fmt.Errorf("%s: the model could not be solved: %w", b.survey.File, errors.Join(s.failed))
	}
	k.wrong = s.named(k.f)
	k.misfit = k.f.fit.quad / float64(len(s.obs))
	if err := k.weigh(); err != nil {
		return nil, err
	}
	return k, k.lookAtPorts()
}

// oddLimit is how many standard deviations a reading may lie off what all
// others say before it is set aside. Common practice, no source.
const oddLimit = 5

// fitRobust fits without faults and sets aside, worst first, what lies far off
// what all other readings say.
func (s *study) fitRobust() *fitted {
	var h hypothesis
	start := point{theta: s.pr.mean}
	for {
		f := s.fit(h, start)
		if !f.ok {
			return f
		}
		worst, far := s.oddest(f)
		if far <= oddLimit || len(h.rows) >= len(s.obs)/3 {
			return f
		}
		h.rows = append(append([]*wrong(nil), h.rows...), &wrong{obs: worst, drop: true, cfg: -1})
		start = f.at
	}
}

// oddest is the observation that lies furthest off what all others make of it.
func (s *study) oddest(f *fitted) (worst int, far float64) {
	var inv mat.SymDense
	if !solved(f.fit.chol.InverseTo(&inv)) {
		return 0, 0
	}
	set := map[int]bool{}
	for _, w := range f.rows {
		set[w.obs] = true
	}
	for i := range s.obs {
		if z := math.Abs(f.fit.alpha.AtVec(i)) / math.Sqrt(inv.At(i, i)); z > far && !set[i] {
			worst, far = i, z
		}
	}
	return worst, far
}

// named finds for each reading set aside the slip that explains it, if there is one.
func (s *study) named(f *fitted) []*wrong {
	if len(f.rows) == 0 {
		return nil
	}
	all := s.wrongRows()
	var out []*wrong
	for _, set := range f.rows {
		i := set.obs
		best, near := set, 4.0
		for _, w := range all {
			if w.obs != i || w.drop || w.cfg >= 0 {
				continue
			}
			sd := math.Hypot(s.readingSD(f, i), s.obs[i].sd*math.Abs(w.y/s.obs[i].y))
			if z := math.Abs(w.y-f.fit.h[i]) / sd; z < near {
				best, near = w, z
			}
		}
		out = append(out, best)
	}
	return out
}

// weigh works out what the survey says of each indicator taken by itself.
func (k *glance) weigh() error {
	s, d := k.s, k.f.fit
	m := len(s.obs)
	S, F := mat.NewSymDense(m, nil), mat.NewSymDense(m, nil)
	shared := s.day - 2 - len(s.b.gains)
	js := d.j.Slice(0, m, 0, shared).(*mat.Dense)
	S.SymOuterK(1, js)
	if d.jv != nil {
		var q mat.SymDense
		q.SymOuterK(-1, d.jv)
		S.AddSym(S, &q)
	}
	own := mat.DenseCopyOf(d.j.Slice(0, m, shared, s.day+1))
	for j := range s.day + 1 - shared {
		sd := k.ofDay(shared + j)
		for i := range m {
			own.Set(i, j, own.At(i, j)*sd)
		}
	}
	F.SymOuterK(1, own)
	for i := range m {
		F.SetSym(i, i, F.At(i, i)+d.noise[i])
	}
	var all mat.SymDense
	all.AddSym(S, F)
	var c mat.Cholesky
	if !c.Factorize(&all) {
		return fmt.Errorf("%s: its readings can't be weighed", s.b.survey.File)
	}
	n := len(k.list)
	J, X := mat.NewDense(m, n, nil), mat.NewDense(m, n, nil)
	for x, ind := range k.list {
		for i := range m {
			J.Set(i, x, d.j.At(i, ind.param))
		}
	}
	if !solved(c.SolveTo(X, J)) {
		return fmt.Errorf("%s: its readings can't be weighed", s.b.survey.File)
	}
	k.info, k.fresh, k.last = sandwich(J, X), quadratic(F, X), quadratic(S, X)
	k.pull = mat.NewVecDense(n, nil)
	k.pull.MulVec(X.T(), mat.NewVecDense(m, d.r))
	return nil
}

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

// ofDay is the standard deviation that one of a survey's own parameters has in
// a sound system. That of the filter is the page's: its state is the survey's own.
func (k *glance) ofDay(param int) float64 {
	for _, x := range k.list {
		if x.param != param {
			continue
		}
		switch x.kind {
		case FilterLoaded:
			return x.usual / x.unit
		case FanWeak:
			return speedOfDay / x.unit
		}
	}
	return 1
}

// estimate is what the survey says of one indicator if only it and those in
// active have changed.
func (k *glance) estimate(i int, active []int) change {
	n := len(k.list)
	c := mat.NewVecDense(n, nil)
	c.SetVec(i, 1)
	var a []int
	for _, x := range active {
		if x != i && k.info.At(x, x) > 1e-9 {
			a = append(a, x)
		}
	}
	if len(a) > 0 {
		g, v := mat.NewSymDense(len(a), nil), mat.NewVecDense(len(a), nil)
		for p, x := range a {
			for q := p; q < len(a); q++ {
				g.SetSym(p, q, k.info.At(x, a[q]))
			}
			g.SetSym(p, p, g.At(p, p)+activeRidge)
			v.SetVec(p, k.info.At(x, i))
		}
		var ch mat.Cholesky
		w := mat.NewVecDense(len(a), nil)
		if ch.Factorize(g) && solved(ch.SolveVecTo(w, v)) {
			for p, x := range a {
				c.SetVec(x, -w.AtVec(p))
			}
		}
	}
	var ck float64
	for x := range n {
		ck += c.AtVec(x) * k.info.At(x, i)
	}
	if ck < 1e-3 {
		return change{none: true}
	}
	u := k.list[i].unit / ck
	return change{
		value:   u * mat.Dot(c, k.pull),
		sd:      k.list[i].unit / math.Sqrt(ck),
		fresh:   u * math.Sqrt(math.Max(mat.Inner(c, k.freshFor(i), c), 1e-18)),
		lasting: u * math.Sqrt(math.Max(mat.Inner(c, k.last, c), 0)),
	}
}

// activeRidge keeps what is active within a hundred of its usual changes.
const activeRidge = 1e-4

// freshFor is fresh, but that the filter's own chart takes the filter to be steady.
func (k *glance) freshFor(i int) *mat.SymDense {
	x := k.list[i]
	if x.kind != FilterLoaded {
		return k.fresh
	}
	col := mat.NewVecDense(len(k.list), nil)
	for j := range k.list {
		col.SetVec(j, k.info.At(j, i))
	}
	out := mat.NewSymDense(len(k.list), nil)
	out.SymRankOne(k.fresh, (filterOfDay*filterOfDay-x.usual*x.usual)/(x.unit*x.unit), col)
	return out
}

// of says how well a quantity is known whose derivative by the survey's own
// parameters is grad and which the fit puts at value. Its estimator is linear
// in the readings, gᵀr with g = S⁻¹ J grad, so what the errors do to it follows.
func (k *glance) of(grad []float64, value float64) change {
	s, f := k.s, k.f
	m := len(s.obs)
	jg, g := mat.NewVecDense(m, nil), mat.NewVecDense(m, nil)
	jg.MulVec(f.fit.j, mat.NewVecDense(s.n, grad))
	c := change{value: value}
	if !solved(f.fit.chol.SolveVecTo(g, jg)) {
		return c
	}
	var prior float64
	for _, x := range grad {
		prior += x * x
	}
	c.sd = math.Sqrt(math.Max(prior-mat.Dot(jg, g), 1e-18))
	a := mat.NewVecDense(s.n, nil)
	a.MulVec(f.fit.j.T(), g)
	var fresh, lasting float64
	for i := range m {
		fresh += g.AtVec(i) * g.AtVec(i) * f.fit.noise[i]
	}
	shared := s.day - 2 - len(s.b.gains)
	for x := range shared {
		lasting += a.AtVec(x) * a.AtVec(x)
	}
	if s.pr.v != nil {
		_, n := s.pr.v.Dims()
		q := mat.NewVecDense(n, nil)
		q.MulVec(s.pr.v.T(), a)
		lasting -= mat.Dot(q, q)
	}
	for x := shared; x <= s.day; x++ {
		fresh += math.Pow(a.AtVec(x)*k.ofDay(x), 2)
	}
	c.fresh, c.lasting = math.Sqrt(math.Max(fresh, 1e-18)), math.Sqrt(math.Max(lasting, 0))
	return c
}

// lookAtPorts works out each port's flow with its own gates open, and how far
// the survey's indicators have moved it.
func (k *glance) lookAtPorts() error {
	s := k.s
	st := s.m.NewState()
	still := append([]float64(nil), k.f.at.theta...)
	for _, x := range k.list {
		still[x.param] = 0
	}
	grad, row := make([]float64, s.n), make([]float64, s.n)
	for p, port := range s.m.Sys.Ports {
		cfg := alone(s.m, p)
		probe, err := s.m.ProbeAt(port.ID, units.FlowRate)
		if err != nil {
			return err
		}
		s.u.coefs(still, &s.coef, s.vals)
		if err := st.Solve(&s.coef, cfg); err != nil {
			return fmt.Errorf("%s: port %s: %w", s.b.survey.File, port.ID, err)
		}
		before := st.Value(probe)
		s.u.coefs(k.f.at.theta, &s.coef, s.vals)
		if err := st.Solve(&s.coef, cfg); err != nil {
			return fmt.Errorf("%s: port %s: %w", s.b.survey.File, port.ID, err)
		}
		st.Prepare()
		st.Sensitivity(probe, s.grad)
		clear(row)
		s.u.row(s.grad, s.vals, row)
		now := st.Value(probe)
		clear(grad)
		for _, x := range k.list {
			grad[x.param] = row[x.param] / math.Max(now, 1e-9)
		}
		k.ports = append(k.ports, k.of(grad, math.Log(math.Max(now, 1e-9)/math.Max(before, 1e-9))))
		k.flows = append(k.flows, estimate{now, math.Sqrt(s.variance(k.f, row, nil))})
	}
	return nil
}

// glances looks at all surveys, two at a time, each worker its own share.
func (t *tracker) glances(ctx context.Context, all []*bound) ([]*glance, error) {
	out, errs := make([]*glance, len(all)), make([]error, len(all))
	inPairs(len(all), func(i int) {
		if errs[i] = ctx.Err(); errs[i] == nil {
			out[i], errs[i] = t.glance(all[i])
		}
	})
	return out, errors.Join(errs...)
}
