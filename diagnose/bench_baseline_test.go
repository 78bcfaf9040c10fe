package diagnose_test

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/trial"
)

// Small shops with a baseline and one to three faults, ten different ones a
// round: what was written down wrong is looked into as well, which is the most
// of the work.
func BenchmarkDiagnoseBaseline(b *testing.B) {
	for _, ports := range []int{5, 10, 20} {
		b.Run(fmt.Sprintf("ports=%d", ports), func(b *testing.B) {
			var cases []*trial.Case
			for seed := range uint64(10) {
				c, err := trial.NewCase(40000+seed, trial.Options{Ports: ports, Baseline: trial.Yes, Quick: true})
				require.NoError(b, err)
				cases = append(cases, c)
			}
			b.ReportAllocs()
			for b.Loop() {
				for _, c := range cases {
					_, err := diagnose.Diagnose(context.Background(), c.System, c.Survey, diagnose.Options{Baselines: c.Baselines})
					require.NoError(b, err)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(cases))/1e9, "s/case")
		})
	}
}
