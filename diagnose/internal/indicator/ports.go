package indicator

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/route"
	"lostair/readings/units"
)

// portsAtRest works out each port's flow alone in the reference, and how the
// indicators move it.
func (t *Tracker) portsAtRest() error {
	vals := make([]float64, len(t.u.Parts))
	page := t.M.NewCoefs()
	t.u.Coefs(t.shared.Mean, &page, vals)
	t.PortSD = nil
	var err error
	t.PortFlow, t.portGrad, err = t.portsBy(t.List, make([]float64, len(t.List)), func(g *airflow.Gradient, q float64) {
		t.PortSD = append(t.PortSD, t.spreadOf(g, vals, q))
	})
	return err
}

// portsBy works out each port's flow alone with the indicators' changes, and how each of
// them moves its logarithm.
func (t *Tracker) portsBy(list []*Indicator, at []float64, each func(g *airflow.Gradient, q float64)) (flow []float64, grad [][]float64, err error) {
	c, st, g := t.coefsAt(list, at), t.M.NewState(), t.M.NewGradient()
	slopes := make([][]fault.Slope, len(list))
	for i, x := range list {
		slopes[i] = x.slopes(&c, at[i])
	}
	for p, port := range t.M.Sys.Ports {
		probe, err := t.M.ProbeAt(port.ID, units.FlowRate)
		if err != nil {
			return nil, nil, err
		}
		if err := st.Solve(&c, route.Alone(t.M, p)); err != nil {
			return nil, nil, fmt.Errorf("port %s: %w", port.ID, err)
		}
		st.Prepare()
		st.Sensitivity(probe, g)
		q := math.Max(st.Value(probe), 1e-9)
		row := make([]float64, len(list))
		for i, s := range slopes {
			row[i] = along(s, &g.Coefs) / q
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
func (t *Tracker) spreadOf(g *airflow.Gradient, vals []float64, q float64) float64 {
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
func (t *Tracker) coefsAt(list []*Indicator, at []float64) airflow.Coefs {
	c := t.coefs()
	for i, x := range list {
		x.apply(&c, at[i])
	}
	return c
}

// FlowsAt are the ports' flows, each alone, with the indicators' changes; nil if
// the model can't be solved there.
func (t *Tracker) FlowsAt(list []*Indicator, at []float64) []float64 {
	c, st := t.coefsAt(list, at), t.M.NewState()
	var out []float64
	for p := range t.M.Sys.Ports {
		if st.Solve(&c, route.Alone(t.M, p)) != nil {
			return nil
		}
		out = append(out, st.PortFlow(p))
	}
	return out
}
