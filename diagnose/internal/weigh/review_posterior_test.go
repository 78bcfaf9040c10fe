package weigh_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/airflow"
	"lostair/diagnose/expect"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/screen"
	"lostair/diagnose/internal/search"
	"lostair/diagnose/internal/weigh"
	"lostair/diagnose/plan"
	"lostair/readings"
	"lostair/readings/units"
)

// An idea that was screened from two parents weighs once, and one without a
// fault counts as sound.
func TestReviewRestWeighsOnce(t *testing.T) {
	leak := &fault.Variant{Site: 0, Kind: fault.Leak}
	fits := []*fit.Fit{{Status: fit.Settled, Evidence: -10}}
	row := &fit.Wrong{Observation: 0}
	g := &search.Search{Sites: []*fault.Site{{Kind: fault.Leak, Where: "main"}}, All: fits, Seen: map[string]bool{}}
	g.Rest = []screen.Idea{
		{Hypothesis: fit.Hypothesis{Faults: []*fault.Variant{leak}}, Key: "a", Score: -14},
		{Hypothesis: fit.Hypothesis{Faults: []*fault.Variant{leak}}, Key: "a", Score: -13},
		{Hypothesis: fit.Hypothesis{Faults: []*fault.Variant{leak}}, Key: "a", Score: -15},
		{Hypothesis: fit.Hypothesis{Rows: []*fit.Wrong{row}}, Key: "b", Score: -13},
	}
	p := weigh.PosteriorOf(g, -1e9)
	assert.Equal(t, []float64{0, p.Rest[3], 0, p.Rest[3]}, p.Rest)
	assert.InDelta(t, 1, p.Site[0]+p.Sound(), 1e-12)
}

// A main that starves two ports is one undersized duct, not two.
func TestReviewUndersizedListedOnce(t *testing.T) {
	page := strings.NewReplacer("need: 700", "need: 1500", "diameter: 160, length: 4,", "diameter: 110, length: 14,").Replace(kit.ReviewShop)
	sys := kit.ReviewSystem(t, page)
	e, err := expect.Expect(sys, readings.Open{Gates: []string{"a"}})
	require.NoError(t, err)
	csv := "open,point,quantity,value,unit\n"
	for _, at := range e.Points {
		if v, ok := at.Value(units.StaticPressure); ok && (at.Point == "A" || at.Point == "M" || at.Point == readings.FanInlet) {
			csv += fmt.Sprintf("a,%s,static_pressure,%.0f,Pa\n", at.Point, v)
		}
	}
	r, err := diagnose.Diagnose(context.Background(), sys, kit.ReviewSurvey(t, sys, csv), diagnose.Options{})
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
	sys := kit.ReviewSystem(t, kit.ReviewShop)
	m, err := airflow.New(sys, airflow.Options{})
	require.NoError(t, err)
	p, err := m.ProbeAt("A", units.FlowRate)
	require.NoError(t, err)
	pitot := observe.Instrument{Id: "pitot", Measures: units.Pressure, OfReading: 0.01, Floor: 1}
	flow, speed := 20*p.Bore(), 20.0
	assert.InEpsilon(t, pitot.Sigma(speed, units.MeanVelocity, p, m.Air.Density)*p.Bore(),
		pitot.Sigma(flow, units.FlowRate, p, m.Air.Density), 1e-12)
	vane := plan.NewReadingSD((&fit.Study{M: m}), plan.SpotToRead{Q: units.FlowRate, Probe: p}, flow)
	assert.InEpsilon(t, plan.NewReadingSD((&fit.Study{M: m}), plan.SpotToRead{Q: units.MeanVelocity, Probe: p}, speed)*p.Bore(), vane, 1e-12)
}

// Two settings of the gates that are the same to the air are one to read in.
func TestReviewNextNamesASettingOnce(t *testing.T) {
	sys := kit.ReviewSystem(t, strings.Replace(kit.ReviewShop, ", gate: a}", "}", 1))
	r, err := diagnose.Diagnose(context.Background(), sys, kit.ReviewSurvey(t, sys, `open,point,quantity,value,unit,instrument
none,A,static_pressure,-1500,Pa,gauge
none,M,static_pressure,-1700,Pa,gauge
`), diagnose.Options{})
	require.NoError(t, err)
	seen := map[string]bool{}
	read := 0
	for _, n := range r.Next {
		if n.LookAt != "" {
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
