package doubt

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/search"
	"lostair/diagnose/route"
)

// pageState is what the system by its page, or after a baseline by that, does
// in each configuration of a survey. The sound system as fitted is no place to
// rate other explanations from: it has been bent to readings that are not its own.
type pageState struct {
	*fit.Detail
	states []*airflow.State
	ports  [][]bool // which are connected
}

// Page is the sound system before anything was read; nil if it can't be solved.
func Page(g *search.Search) *pageState {
	s := g.S
	f := s.Linearised(fit.Hypothesis{}, s.Before())
	if !f.Ok() {
		return nil
	}
	p := &pageState{Detail: f.Fit, states: s.States}
	for _, c := range s.B.Configs {
		p.ports = append(p.ports, route.Reach(s.M, c.Config))
	}
	return p
}

// of is how improbable it is that readings differ so from the page, as a square
// of standard deviations.
func (p *pageState) of(r *mat.VecDense) float64 {
	a := mat.NewVecDense(r.Len(), nil)
	if !numeric.Solved(p.Chol.SolveVecTo(a, r)) {
		return math.Inf(1)
	}
	return mat.Dot(r, a)
}

// Through says whether air of a connected port passes a duct in a configuration.
func (p *pageState) Through(m *airflow.Model, cfg, duct int) bool {
	for i, on := range p.ports[cfg] {
		for d := m.Sys.Ports[i].Duct; on && d >= 0; d = m.Sys.Ducts[d].Into {
			if d == duct {
				return true
			}
		}
	}
	return false
}

// Resized is the system with one duct of another diameter.
type Resized struct {
	Duct  int
	D     float64
	M     *airflow.Model
	Bound *observe.Bound // the survey of it
}

// Misfit is how badly the survey fits the page of the resized system. What
// passes by the duct is as on the page.
func (p *pageState) Misfit(x *Resized) float64 {
	c, st := x.M.Coefs(), x.M.NewState()
	st.Unchecked = true
	r := mat.NewVecDense(len(x.Bound.Observation), nil)
	for k, list := range x.Bound.ByConfig() {
		through := len(list) > 0 && p.Through(x.M, k, x.Duct)
		if through {
			st.StartFrom(p.states[k])
			if st.Solve(&c, x.Bound.Configs[k].Config) != nil {
				return math.Inf(1)
			}
		}
		for _, i := range list {
			h := p.H[i]
			if through {
				h = st.Value(x.Bound.Observation[i].Probe)
			}
			r.SetVec(i, x.Bound.Observation[i].Y-h)
		}
	}
	return p.of(r)
}
