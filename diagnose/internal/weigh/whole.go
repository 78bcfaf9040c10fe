package weigh

import (
	"slices"

	"lostair/diagnose/internal/doubt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/route"
)

// WholeSurvey is the survey with all its readings, of one that was thinned: what was
// found with the readings kept is held against every one of them.
type WholeSurvey struct {
	B    *observe.Bound
	S    *fit.Study // of all readings, with the parameters that the search had
	Pos  []int      // observation of the search → observation of the whole
	Line [][]int    // of each port: the readings on its own ducts that the search did without
}

// WholeOf is nil if no reading was left out.
func WholeOf(x *doubt.Setup, all *observe.Bound, shared fit.Prior, use []bool, kappa float64) *WholeSurvey {
	if x.Survey.Kept == nil {
		return nil
	}
	w := &WholeSurvey{B: all, Pos: x.Survey.Kept}
	w.S = fit.NewStudy(x.M, x.U, x.L, all, shared)
	w.S.States = nil // one a worker will do
	if use != nil {
		w.S.Reduce(use)
	}
	w.S.PriorScale = kappa
	w.Line = w.lines()
	return w
}

// lines lists for each port the readings, of those that the search did
// without, on the ducts that carry its air alone.
func (w *WholeSurvey) lines() [][]int {
	m := w.S.M
	port := make([]int, len(m.Sys.Ducts)) // whose air alone a duct carries; -1: of several
	for d := range port {
		port[d] = -1
	}
	trunk := route.Trunks(m.Sys)
	for i := range m.Sys.Ports {
		for _, d := range route.Own(m, i, trunk) {
			port[d] = i
		}
	}
	var open [][]bool
	for _, c := range w.B.Configs {
		open = append(open, route.Reach(m, c.Config))
	}
	out := make([][]int, len(m.Sys.Ports))
	for i := range w.S.Observation {
		c := w.S.Observation[i].Cfg
		if slices.Contains(w.Pos, i) || len(w.B.Configs[c].HoseOff) > 0 {
			continue
		}
		if d := w.S.DuctOf(i); d >= 0 && port[d] >= 0 && open[c][port[d]] {
			out[port[d]] = append(out[port[d]], i)
		}
	}
	return out
}

// At is where an observation of the search stands among all readings.
func (w *WholeSurvey) At(i int) int {
	if w == nil {
		return i
	}
	return w.Pos[i]
}
