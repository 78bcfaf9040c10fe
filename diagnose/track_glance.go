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
	s      *study
	f      *fitted
	list   []*indicator
	change []change // of each indicator, in its own unit
	ports  []change // logarithm of each port's flow, alone, to that without the changes
	flows  []estimate
	misfit float64 // of the readings left, per reading; about 1
}

// change is an estimate of how far something has moved from the reference.
type change struct {
	value   float64
	sd      float64 // posterior
	fresh   float64 // standard deviation that is new in each survey, if nothing has changed
	lasting float64 // standard deviation of what all surveys against this reference have in common
}

// look fits a survey's indicators, wrong rows set aside.
func (t *tracker) look(ctx context.Context, b *bound) (*glance, error) {
	s := newStudy(t.m, t.u, t.l, b, t.shared)
	k := &glance{s: s, list: s.watch(t.list)}
	if len(s.obs) == 0 {
		return nil, fmt.Errorf("%s: there is no reading in it", b.survey.File)
	}
	f := s.fit(hypothesis{}, point{theta: s.pr.mean})
	if !f.ok || s.oddOneOut(f) {
		g := newSearch(s, nil, s.wrongRows())
		if err := g.run(ctx, nil); err != nil {
			return nil, fmt.Errorf("%s: the model could not be solved: %w", b.survey.File, err)
		}
		f = g.all[0]
	}
	k.f = f
	k.misfit = f.fit.quad / float64(len(s.obs))
	for _, x := range k.list {
		grad := make([]float64, s.n)
		grad[x.param] = x.unit
		k.change = append(k.change, k.of(grad, x.unit*f.at.theta[x.param]))
	}
	return k, k.lookAtPorts()
}

// oddLimit is how many standard deviations a reading may lie off what all
// others say before it is looked at as a wrong row. Common practice, no source.
const oddLimit = 4.5

// oddOneOut says whether a reading lies off what all others make of it.
func (s *study) oddOneOut(f *fitted) bool {
	var inv mat.SymDense
	if !solved(f.fit.chol.InverseTo(&inv)) {
		return true
	}
	for i := range s.obs {
		if math.Abs(f.fit.alpha.AtVec(i)) > oddLimit*math.Sqrt(inv.At(i, i)) {
			return true
		}
	}
	return false
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
		fresh += a.AtVec(x) * a.AtVec(x) * k.ofDay(x)
	}
	c.fresh, c.lasting = math.Sqrt(math.Max(fresh, 1e-18)), math.Sqrt(math.Max(lasting, 0))
	return c
}

// ofDay is the variance that one of a survey's own parameters has in a sound
// system: all of it, but for the filter and the fan, which are let move further.
func (k *glance) ofDay(param int) float64 {
	for _, x := range k.list {
		if x.param != param {
			continue
		}
		switch x.kind {
		case FilterLoaded:
			return math.Pow(filterOfDay/x.unit, 2)
		case FanWeak:
			return math.Pow(speedOfDay/x.unit, 2)
		}
	}
	return 1
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
			return errors.Join(fmt.Errorf("%s: port %s", s.b.survey.File, port.ID), err)
		}
		before := st.Value(probe)
		s.u.coefs(k.f.at.theta, &s.coef, s.vals)
		if err := st.Solve(&s.coef, cfg); err != nil {
			return errors.Join(fmt.Errorf("%s: port %s", s.b.survey.File, port.ID), err)
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
