package trial

import (
	"math"
	"slices"

	"lostair/diagnose/airflow"
	"lostair/diagnose/trial/plant"
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
		cfg := plant.Opened(w.m, []int{i})
		if w.s.Solve(&c, cfg) != nil || w.s.PortFlow(i) >= p.Need {
			continue
		}
		f := Fault{Kind: Undersized, Port: p.ID, FlowShare: w.s.PortFlow(i) / p.Need, Along: -1, Observable: true, Severity: math.NaN()}
		d := w.culprits(i, &f)
		f.Where = f.Ducts[0]
		if dia, ok := w.wideEnough(&c, cfg, i, d, p.Need); ok {
			f.Severity = dia
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

// wideEnough is the diameter that a duct must have for a port to get its need,
// no duct in a row with it narrower, losses going with the fourth power of the
// diameter (friction with the fifth); false if four times as wide does not do.
func (w *world) wideEnough(c *airflow.Coefs, cfg airflow.Config, port, duct int, need float64) (float64, bool) {
	own, row := w.b.page.Ducts[duct].Diameter, w.inRow(port, duct)
	lo, hi := 1.0, 4.0
	if w.flowWith(c, cfg, port, row, own*hi) < need {
		return 0, false
	}
	for range 30 {
		k := (lo + hi) / 2
		if w.flowWith(c, cfg, port, row, own*k) < need {
			lo = k
		} else {
			hi = k
		}
	}
	return own * hi, true
}

// inRow lists the ducts that carry a port's air alone if that is one of them,
// or else that.
func (w *world) inRow(port, duct int) []int {
	ports := make([]int, len(w.b.page.Ducts))
	for i := range w.b.page.Ports {
		for d := w.b.page.Ports[i].Duct; d >= 0; d = w.b.page.Ducts[d].Into {
			ports[d]++
		}
	}
	if ports[duct] > 1 {
		return []int{duct}
	}
	var out []int
	for d := w.b.page.Ports[port].Duct; d >= 0 && ports[d] == 1; d = w.b.page.Ducts[d].Into {
		out = append(out, d)
	}
	return out
}

func (w *world) flowWith(c *airflow.Coefs, cfg airflow.Config, port int, row []int, diameter float64) float64 {
	x := c.Clone()
	for _, d := range row {
		if k := diameter / w.b.page.Ducts[d].Diameter; k > 1 {
			w.widen(&x, d, k)
		}
	}
	w.s = w.m.NewState()
	if w.s.Solve(&x, cfg) != nil {
		return 0
	}
	return w.s.PortFlow(port)
}

// widen makes a duct k times as wide.
func (w *world) widen(x *airflow.Coefs, duct int, k float64) {
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
}
