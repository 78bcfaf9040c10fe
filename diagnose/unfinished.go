package diagnose

import (
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/numeric"
	"lostair/readings"
)

// Unseen is the share of all probability that is left to what had not been looked
// at when the work was stopped: enough for nothing to be asserted. Our choice.
const Unseen = 0.5

// Unfinished is what is known when the work is stopped before its end; x may be
// nil. Its verdict is Unclear, and it takes no further work worth mentioning.
func Unfinished(x *examined, sys *duct.System, survey *readings.Survey, baselines []*readings.Survey) *Result {
	r := &Result{System: sys, Survey: survey, Baselines: baselines, Verdict: Unclear, Unfinished: true, Sound: Unseen, Broken: Unseen, Unlisted: Unseen}
	r.Doubts = []fault.Doubt{{Kind: fault.StoppedEarly}}
	if x == nil {
		return r
	}
	seen := 1 - Unseen
	for _, i := range x.P.Order() {
		if c := Candidate(x.P, i); seen*c.Probability >= 0.001 {
			r.Candidates = append(r.Candidates, fault.Candidate{Kind: c.Kind, Where: c.Where, Probability: seen * c.Probability})
		}
	}
	r.Unlisted = numeric.ClampProbability(Unseen + seen*x.P.Unlisted)
	r.Sound = numeric.ClampProbability(seen * x.P.Sound())
	r.Broken = numeric.ClampProbability(1 - r.Sound)
	return r
}
