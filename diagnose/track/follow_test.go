package track

import (
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/route"
	"lostair/readings"
	"lostair/readings/repairs"
	"lostair/readings/units"
)

// followed is the rules' shop over surveys a week apart, each with some hurts.
func followed(t *testing.T, opt Options, hurts ...[]kit.Hurt) (*kit.Rules, *History) {
	t.Helper()
	r := kit.NewRules(t)
	var all []*readings.Survey
	for i, list := range hurts {
		s := r.Survey(together(list), kit.RuleTaps, nil)
		s.File = fmt.Sprintf("2031-%02d-%02d.csv", 3+i/4, 1+7*(i%4))
		all = append(all, s)
	}
	tr, err := Follow(t.Context(), r.Sys, all, opt)
	require.NoError(t, err)
	return r, tr
}

// A hole that is there for three surveys is an episode of that time, which the log ended;
// its series holds the area while it is there, and all else stays where it was.
func TestAHoleComesAndGoes(t *testing.T) {
	leak := []kit.Hurt{kit.LeakIn("hose-b", 1, 8e-4)}
	hurts := [][]kit.Hurt{3: nil, 4: leak, 5: leak, 6: leak, 7: nil}
	r, tr := followed(t, Options{Reference: 3, Full: -1, Repairs: []repairs.Repair{{Date: time.Date(2031, 4, 20, 0, 0, 0, 0, time.UTC), Where: "hose-b"}}}, hurts...)
	var names []string
	for _, s := range tr.Series {
		names = append(names, s.Gauge.String()+" "+s.Where)
	}
	require.Equal(t, []string{"port-flow port-a", "port-flow port-b", "port-flow port-c", "filter-drop filter", "fan-speed fan",
		"leak-area main", "leak-area drop-a, hose-a", "leak-area drop-b, hose-b", "leak-area drop-c, hose-c", "leak-area bin",
		"in-the-way port-a", "in-the-way port-b", "in-the-way port-c"}, names)
	st, c := r.M.NewState(), r.M.Coefs()
	for i, s := range tr.Series {
		require.Len(t, s.Points, 8)
		if s.Gauge == FlowShare {
			require.NoError(t, st.Solve(&c, route.Alone(r.M, i)))
			require.InEpsilon(t, st.PortFlow(i), s.Sound, 0.02)
		}
		for k, p := range s.Points {
			rest := s.Gauge.value(0)
			open := s.Where == "drop-b, hose-b" || s.Where == "port-b"
			if k >= 4 && k < 7 && open {
				continue
			}
			require.LessOrEqual(t, p.Value.Low, rest, "%s in survey %d", names[i], k)
			require.GreaterOrEqual(t, p.Value.High, rest, "%s in survey %d", names[i], k)
		}
	}
	hole := tr.Series[7]
	require.Equal(t, []string{"drop-b", "hose-b"}, hole.Ducts)
	for k := 4; k < 7; k++ {
		require.Less(t, hole.Points[k].Value.Low, 8e-4)
		require.Greater(t, hole.Points[k].Value.High, 8e-4)
		require.InEpsilon(t, 8e-4, hole.Points[k].Value.Value, 0.25)
	}
	require.NotEmpty(t, tr.Signals)
	require.Equal(t, []any{7, 4, true}, []any{tr.Signals[0].Series, tr.Signals[0].Survey, tr.Signals[0].Up}, "the cause before the flow that it changes")
	require.Zero(t, hole.Signal)
	require.Len(t, tr.Episodes, 1)
	e := tr.Episodes[0]
	require.Equal(t, fault.Leak, e.Kind)
	require.Equal(t, "hose-b", e.Where)
	require.Equal(t, 4, e.From.Survey)
	require.Equal(t, Moment{7, 7, 7}, *e.To)
	require.Equal(t, "repair", e.EndedBy)
	require.Less(t, e.Severity.Low, 8e-4)
	require.Greater(t, e.Severity.High, 8e-4)
	require.False(t, e.Grew || e.Fell)
	require.LessOrEqual(t, e.Together, 1.0)
	require.GreaterOrEqual(t, e.Together, e.Probability)
	require.Greater(t, e.Probability, 0.5)
	require.Equal(t, units.Area, e.Dimension)
}

// together is several hurts at once.
func together(list []kit.Hurt) kit.Hurt {
	return func(r *kit.Rules, c *airflow.Coefs) {
		for _, h := range list {
			h(r, c)
		}
	}
}
