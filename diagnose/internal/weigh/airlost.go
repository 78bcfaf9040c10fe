package weigh

import (
	"math"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/settings"
)

// airLost is the share of its air that the worst-off port loses to a typical
// fault, in the settings in use, by variant: linear, from one adjoint sweep a
// port and setting, at the system as it was known before the survey.
type airLost map[*fault.Variant]float64

// portsLookedAt is how many ports' air is looked at; of more, so many evenly.
const portsLookedAt = 400

// airLostOf works it out.
func (p *Posterior) airLostOf() airLost {
	s := p.G.S
	ports := numeric.Evenly(len(s.M.Sys.Ports), portsLookedAt)
	var all []*fault.Variant
	for _, st := range p.G.Sites {
		all = append(all, st.Variants...)
	}
	pool := p.G.Workers()
	worst := make([][]float64, numeric.Workers)
	numeric.OnEachWorker(func(w int) {
		t := pool[w]
		t.SetCoefs(t.Before(), nil)
		slopes := make([][]fault.Slope, len(all))
		for k, v := range all {
			slopes[k] = v.Deltas(&t.Coef)
		}
		worst[w] = make([]float64, len(all))
		st := t.M.NewState()
		st.Roughly = true // a share of a port's air needs no more
		for i := w; i < len(ports); i += numeric.Workers {
			for _, use := range settings.JudgedFor(t.M, ports[i]) {
				lostAt(t, st, ports[i], use.Cfg, slopes, worst[w])
			}
		}
	})
	out := make(airLost, len(all))
	for k, v := range all {
		for w := range worst {
			out[v] = math.Max(out[v], worst[w][k])
		}
	}
	return out
}

// lostAt takes one port in one setting into account.
func lostAt(s *fit.Study, st *airflow.State, port int, cfg airflow.Config, slopes [][]fault.Slope, worst []float64) {
	probe := airflow.PortProbe(s.M, port)
	if len(probe) == 0 || st.Solve(&s.Coef, cfg) != nil {
		return
	}
	q := st.Value(probe[0])
	if q <= 0 {
		return
	}
	st.Prepare()
	st.Sensitivity(probe[0], s.Grad)
	for k, list := range slopes {
		var d float64
		for _, e := range list {
			d += *e.Slot.Of(&s.Grad.Coefs) * e.By
		}
		worst[k] = math.Max(worst[k], -d/q)
	}
}
