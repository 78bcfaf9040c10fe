package diagnose_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/trial"
	"lostair/readings"
)

// A survey read at the collector alone, in more settings than readings are searched
// with, and showing the same in all: it is thinned like any other.
func TestManySettingsReadAtTheCollector(t *testing.T) {
	kit.Long(t, "260 readings at the collector")
	c, err := trial.NewCase(5, trial.Options{Ports: 8, Sound: true, Baseline: trial.No, Wrong: trial.No, Quick: true})
	require.NoError(t, err)
	var gates []string
	for i := range c.System.Ducts {
		if g := c.System.Ducts[i].Gate; g != "" {
			gates = append(gates, g)
		}
	}
	var rows strings.Builder
	rows.WriteString("open,point,quantity,value,unit\n")
	for set := 1; set < 1<<len(gates) && set < 130; set++ {
		var open []string
		for k, g := range gates {
			if set>>k&1 == 1 {
				open = append(open, g)
			}
		}
		for _, p := range []string{readings.CollectorInlet, readings.FanInlet} {
			fmt.Fprintf(&rows, "%s,%s,static_pressure,-1000,Pa\n", strings.Join(open, "+"), p)
		}
	}
	survey, bad := readings.Load(strings.NewReader(rows.String()), "survey.csv", c.System.Units)
	require.NoError(t, bad.Err())
	require.Greater(t, len(survey.Readings), fit.ThinAbove)
	r, err := diagnose.Diagnose(context.Background(), c.System, survey, diagnose.Options{})
	require.NoError(t, err)
	require.Len(t, r.Checks, len(survey.Readings))
	require.NotEqual(t, diagnose.Clear, r.Verdict)
}
