package doubt

import (
	"lostair/diagnose/airflow"
)

// pageSolved is the system by its page, with a base's faults, in each setting.
type pageSolved struct {
	states []*airflow.State // nil where there is no reading
	value  []float64        // of each observation
	ok     bool
}

// byPage solves it, once a base: what else the system may be lies near it.
func (b *base) byPage() *pageSolved {
	b.once.Do(func() {
		c := b.s.M.Coefs()
		for k, v := range b.f.Faults {
			v.Apply(&c, b.f.At.Z[k])
		}
		p := &pageSolved{states: make([]*airflow.State, len(b.s.By)), value: make([]float64, len(b.s.Observation)), ok: true}
		for k, list := range b.s.By {
			if len(list) == 0 {
				continue
			}
			st := b.s.M.NewState()
			st.Unchecked = true
			if st.Solve(&c, b.s.B.Configs[k].Config) != nil {
				p.ok = false
				break
			}
			for _, i := range list {
				p.value[i] = st.Value(b.s.Observation[i].Probe)
			}
			p.states[k] = st
		}
		b.solvedPage = p
	})
	return b.solvedPage
}
