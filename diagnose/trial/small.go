package trial

import (
	"math"
	"slices"

	"lostair/diagnose/airflow"
)

// undersized are the ports that, with their own gates open and all others
// shut, get less than their need in the sound plant as built.
func undersized(w *world) []Fault {
	w.setFlaws(nil, 0)
	c := w.c.Clone()
	var out []Fault
	for i, p := range w.b.page.Ports {
		if p.Need <= 0 {
			continue
		}
		w.s = w.m.NewState()
		cfg := opened(w.m, []int{i})
		if w.s.Solve(&c, cfg) != nil || w.s.PortFlow(i) >= p.Need {
			continue
		}
		f := Fault{Kind: Undersized, Port: p.ID, FlowShare: w.s.PortFlow(i) / p.Need, Along: -1, Observable: true, Severity: math.NaN()}
		d := w.culprits(i, &f)
		f.Where = f.Ducts[0]
		if k, ok := w.wideEnough(&c, cfg, i, d, p.Need); ok {
			f.Severity = w.b.page.Ducts[d].Diameter * k
		}
		out = append(out, f)
	}
	w.solved = ""
	return out
}

// culprits puts the ducts on a port's way that cost most into f, the dearest
// first: those that cost at least half as much as it. It returns that one.
func (w *world) culprits(port int, f *Fault) int {
	type dear struct {
		duct int
		loss float64
	}
	var list []dear
	for d := w.b.page.Ports[port].Duct; d >= 0; d = w.b.page.Ducts[d].Into {
		list = append(list, dear{d, w.s.DuctLoss(d)})
	}
	slices.SortStableFunc(list, func(a, b dear) int {
		switch {
		case a.loss > b.loss:
			return -1
		case a.loss < b.loss:
			return 1
		}
		return a.duct - b.duct
	})
	for _, x := range list {
		if x.loss >= 0.5*list[0].loss {
			f.Ducts = append(f.Ducts, w.b.page.Ducts[x.duct].ID)
		}
	}
	return list[0].duct
}

// wideEnough is how many times as wide a duct must be for a port to get its
// need, its losses going with the fourth power of the diameter (friction with
// the fifth); false if four times does not do.
func (w *world) wideEnough(c *airflow.Coefs, cfg airflow.Config, port, duct int, need float64) (float64, bool) {
	lo, hi := 1.0, 4.0
	if w.flowWith(c, cfg, port, duct, hi) < need {
		return 0, false
	}
	for range 30 {
		k := (lo + hi) / 2
		if w.flowWith(c, cfg, port, duct, k) < need {
			lo = k
		} else {
			hi = k
		}
	}
	return hi, true
}

func (w *world) flowWith(c *airflow.Coefs, cfg airflow.Config, port, duct int, k float64) float64 {
	x := c.Clone()
	a := 1 / (k * k * k * k)
	for _, i := range w.m.DuctSegments(duct) {
		x.K[i] *= a
		x.Friction[i] *= a / k
	}
	d := &w.m.Sys.Ducts[duct]
	if d.Gate != "" {
		g, _ := w.m.GateIndex(d.Gate)
		x.GateOpen[g] *= a
	}
	if d.Port >= 0 { // the hood and the acceleration stand on this duct's velocity pressure
		i := w.m.PortSegment(d.Port)
		x.K[i] = (1+x.K[i])*a - 1
	}
	w.s = w.m.NewState()
	if w.s.Solve(&x, cfg) != nil {
		return 0
	}
	return w.s.PortFlow(port)
}
