package score_test

import (
	"fmt"

	"lostair/diagnose/trial"
	"lostair/diagnose/trial/score"
)

// An answer that names the fault of a case, and nothing else.
func ExampleOf() {
	truth := &trial.Truth{Faults: []trial.Fault{{Kind: trial.Leak, Where: "main", Severity: 1e-4, Observable: true}}}
	leak := score.Named{Kind: trial.Leak, Where: "main", Probability: 0.9}
	answer := &score.Answer{Verdict: "faults", Faults: []score.Named{leak}, Candidates: []score.Named{leak}}
	all := score.Of([]*trial.Truth{truth}, []*score.Answer{answer}).Groups[0]
	fmt.Println(all.Name, all.Cases, all.Top1.Value(), all.Named.Value())
	// Output: all cases 1 1 1
}
