package round_test

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/round"
	"lostair/diagnose/trial"
	"lostair/diagnose/trial/survey"
)

// BenchmarkNextQuestion is the time between an answer and the next question. Asked
// for is at most 0.3 s of 10 ports, and 1 s of 40.
func BenchmarkNextQuestion(b *testing.B) {
	for _, ports := range []int{10, 40} {
		for _, answers := range []int{2, 6, 12} {
			b.Run(fmt.Sprintf("ports=%d/answers=%d", ports, answers), func(b *testing.B) {
				c, err := trial.NewCase(7, trial.Options{Ports: ports, Style: survey.Rich, Kinds: []string{trial.Leak}, Wrong: trial.No, Baseline: trial.No, Quick: true})
				require.NoError(b, err)
				s := surveyOf(b, c, c.Survey.Rows[:answers])
				complaint := round.Complaint{Kind: round.WeakPort, Port: c.System.Ports[0].ID}
				for b.Loop() {
					r, err := round.Begin(context.Background(), round.Situation{System: c.System, Survey: s, Complaint: complaint})
					require.NoError(b, err)
					_, err = r.Questions(context.Background(), 1)
					require.NoError(b, err)
				}
			})
		}
	}
}
