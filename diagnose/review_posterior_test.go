package diagnose

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/readings"
	"lostair/readings/units"
)

// An idea that was screened from two parents weighs once, and one without a
// fault counts as sound.
func TestReviewRestWeighsOnce(t *testing.T) {
	leak := &variant{site: 0, kind: Leak}
	fits := []*fitted{{ok: true, evidence: -10}}
	row := &wrong{obs: 0}
	g := &search{sites: []*site{{kind: Leak, where: "main"}}, all: fits, seen: map[string]bool{}}
	g.rest = []idea{
		{hypothesis: hypothesis{faults: []*variant{leak}}, key: "a", score: -14},
		{hypothesis: hypothesis{faults: []*variant{leak}}, key: "a", score: -13},
		{hypothesis: hypothesis{faults: []*variant{leak}}, key: "a", score: -15},
		{hypothesis: hypothesis{rows: []*wrong{row}}, key: "b", score: -13},
	}
	p := posteriorOf(g, -1e9)
	assert.Equal(t, []float64{0, p.rest[3], 0, p.rest[3]}, p.rest)
	assert.InDelta(t, 1, p.site[0]+p.sound(), 1e-12)
}

// A main that starves two ports is one undersized duct, not two.
func TestReviewUndersizedListedOnce(t *testing.T) {
	page := strings.NewReplacer("need: 700", "need: 1500", "diameter: 160, length: 4,", "diameter: 110, length: 14,").Replace(reviewShop)
	sys := reviewSystem(t, page)
	e, err := Expect(sys, readings.Open{Gates: []string{"a"}})
	require.NoError(t, err)
	csv := "open,point,quantity,value,unit\n"
	for _, at := range e.Points {
		if v, ok := at.Value(units.StaticPressure); ok && (at.Point == "A" || at.Point == "M" || at.Point == readings.FanInlet) {
			csv += fmt.Sprintf("a,%s,static_pressure,%.0f,Pa\n", at.Point, v)
		}
	}
	r, err := Diagnose(context.Background(), sys, reviewSurvey(t, sys, csv), Options{})
	require.NoError(t, err)
	seen := map[string]int{}
	for _, c := range r.Candidates {
		seen[c.Kind.String()+" "+c.Where]++
	}
	require.Contains(t, seen, "undersized main")
	for what, n := range seen {
		assert.Equal(t, 1, n, what)
	}
}

// A flow worked out from a velocity pressure has half of its relative error,
// as the velocity has.
func TestReviewFlowByPitot(t *testing.T) {
	sys := reviewSystem(t, reviewShop)
	m, err := airflow.New(sys, airflow.Options{})
	require.NoError(t, err)
	p, err := m.ProbeAt("A", units.FlowRate)
	require.NoError(t, err)
	pitot := instrumentSpec{"pitot", units.Pressure, 0.01, 1}
	flow, speed := 20*p.Bore(), 20.0
	assert.InEpsilon(t, pitot.sigma(speed, units.MeanVelocity, p, m.Air.Density)*p.Bore(),
		pitot.sigma(flow, units.FlowRate, p, m.Air.Density), 1e-12)
	vane := (&study{m: m}).newReadingSD(spotToRead{q: units.FlowRate, probe: p}, flow)
	assert.InEpsilon(t, (&study{m: m}).newReadingSD(spotToRead{q: units.MeanVelocity, probe: p}, speed)*p.Bore(), vane, 1e-12)
}

// Two settings of the gates that are the same to the air are one to read in.
func TestReviewNextNamesASettingOnce(t *testing.T) {
	sys := reviewSystem(t, strings.Replace(reviewShop, ", gate: a}", "}", 1))
	r, err := Diagnose(context.Background(), sys, reviewSurvey(t, sys, `open,point,quantity,value,unit,instrument
none,A,static_pressure,-1500,Pa,gauge
none,M,static_pressure,-1700,Pa,gauge
`), Options{})
	require.NoError(t, err)
	seen := map[string]bool{}
	read := 0
	for _, n := range r.Next {
		if n.Look != "" {
			continue
		}
		read++
		open := n.Open.String()
		if open == "b" {
			open = "all" // there is no other gate
		}
		key := strings.Join(append([]string{n.Point, n.Quantity.String(), open}, n.HoseOff...), " ")
		assert.False(t, seen[key], key)
		seen[key] = true
	}
	assert.Positive(t, read)
}
