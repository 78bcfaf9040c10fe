package weigh

import (
	"lostair/diagnose/internal/doubt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/observe"
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

// At is where an observation of the search stands among all readings.
func (w *WholeSurvey) At(i int) int {
	if w == nil {
		return i
	}
	return w.Pos[i]
}
