package diagnose_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/plan"
	"lostair/diagnose/trial"
	"lostair/diagnose/trial/plant"
	"lostair/readings/units"
)

// big is a plant with several faults and a survey of some size.
func big(tb testing.TB, ports, readings int) *trial.Case {
	c, err := trial.FaultyPlant(7, ports, readings)
	require.NoError(tb, err)
	require.Len(tb, c.Survey.Rows, readings)
	return c
}

var sizes = []struct{ ports, readings int }{{5, 40}, {10, 40}, {20, 160}, {100, 600}, {300, 1500}}

// A diagnosis from files in memory, by size. MB/op is all that was allocated,
// peak-MB what the process held at most.
func BenchmarkDiagnose(b *testing.B) {
	for _, n := range sizes {
		b.Run(fmt.Sprintf("ports=%d/readings=%d", n.ports, n.readings), func(b *testing.B) {
			c := big(b, n.ports, n.readings)
			if *bankDir != "" {
				dir := filepath.Join(*bankDir, fmt.Sprint(n.ports))
				require.NoError(b, os.MkdirAll(dir, 0o755))
				require.NoError(b, os.WriteFile(filepath.Join(dir, "system.yaml"), c.SystemYAML, 0o644))
				require.NoError(b, os.WriteFile(filepath.Join(dir, "survey.csv"), c.SurveyCSV, 0o644))
			}
			var res *diagnose.Result
			var err error
			b.ReportAllocs()
			for b.Loop() {
				res, err = diagnose.Diagnose(context.Background(), c.System, c.Survey, diagnose.Options{})
				require.NoError(b, err)
			}
			found := 0
			for _, f := range c.Truth.Faults {
				for _, g := range res.Faults {
					if f.Kind == g.Kind.String() && f.Where == g.Where {
						found++
						b.Logf("%s at %s: %.3f", f.Kind, f.Where, g.Probability)
					}
				}
			}
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			b.ReportMetric(float64(m.Sys)/1e6, "sys-MB")
			b.ReportMetric(float64(found), "found")
		})
	}
}

// A round for a system of which nothing was read yet.
func BenchmarkPlan(b *testing.B) {
	for _, ports := range []int{20, 100, 300} {
		b.Run(fmt.Sprintf("ports=%d", ports), func(b *testing.B) {
			sys := plant.New(7, ports, units.Metric)
			b.ReportAllocs()
			for b.Loop() {
				_, err := plan.Plan(context.Background(), sys, nil, 24)
				require.NoError(b, err)
			}
		})
	}
}
