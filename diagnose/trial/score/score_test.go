package score

import (
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose/trial"
	"lostair/diagnose/trial/internal/dice"
	"lostair/diagnose/trial/survey"
	"lostair/readings/units"
)

var (
	bank    = flag.String("bank", "", "write a bank of cases into this folder")
	answers = flag.String("answers", "", "with -bank: write made-up answers into this folder and print their scores")
	number  = flag.Int("cases", 60, "with -bank: how many")
	first   = flag.Uint64("first", 1, "with -bank: first seed")
	harsh   = flag.Bool("harsh", false, "with -bank: cases far beyond what the page says")
)

// TestWriteBank writes a bank for use by hand:
//
//	go test ./diagnose/trial/score -run TestWriteBank -bank DIR -cases 2000
func TestWriteBank(t *testing.T) {
	if *bank == "" {
		t.Skip("no -bank DIR given")
	}
	o := trial.Options{}
	if *harsh {
		o = trial.Harsh()
	}
	var truths []*trial.Truth
	var said []*Answer
	for i, seed := 1, *first; i <= *number; seed++ {
		c, err := trial.NewCase(seed, o)
		if err != nil {
			t.Log(err)
			continue
		}
		name := fmt.Sprintf("%03d", i)
		require.NoError(t, WriteCase(c, filepath.Join(*bank, name), name))
		i++
		if *answers == "" {
			continue
		}
		data := guess(c)
		require.NoError(t, os.MkdirAll(*answers, 0o755))
		require.NoError(t, os.WriteFile(filepath.Join(*answers, name+".json"), data, 0o644))
		a, err := ReadAnswer(data)
		require.NoError(t, err)
		truths, said = append(truths, &c.Truth), append(said, a)
	}
	if *answers != "" {
		fmt.Print(Of(truths, said))
	}
}

// guess makes up an answer that is partly right.
func guess(c *trial.Case) []byte {
	type m = map[string]any
	d := dice.New(c.Seed, 999)
	cands, faults := []m{}, []m{}
	add := func(kind, where string, p float64, severity any, alike []m) {
		cands = append(cands, m{"kind": kind, "where": where, "probability": p})
		if p >= 0.5 || len(alike) > 0 {
			faults = append(faults, m{"kind": kind, "where": where, "probability": p, "together": min(1, p+0.2), "severity": severity, "alike": alike})
		}
	}
	for i := range c.Truth.Faults {
		f := &c.Truth.Faults[i]
		if d.Chance(0.25) {
			continue
		}
		v, unit := severityIn(f, c.System.Units)
		v *= d.Factor(0.1)
		sev := m{"value": v, "low": v - 0.15*math.Abs(v), "high": v + 0.15*math.Abs(v), "unit": unit}
		if math.IsNaN(v) {
			sev = nil
		}
		if d.Chance(0.3) && f.Main() {
			add(trial.Leak, c.System.Ducts[0].ID, d.Between(0.2, 0.6), nil, []m{{"kind": f.Kind, "where": f.Where, "probability": 0.2}})
			continue
		}
		add(f.Kind, f.Where, d.Float64(), sev, nil)
	}
	for range d.IntN(5) {
		add(trial.MainKinds()[d.IntN(6)], c.System.Ducts[d.IntN(len(c.System.Ducts))].ID, d.Between(0.001, 0.55), nil, nil)
	}
	verdict := dice.Pick(d, "clear", "unclear")
	if len(faults) > 0 {
		verdict = "faults"
	}
	var ports []m
	for _, f := range c.Truth.Flows {
		for i, p := range f.Ports {
			q := units.Flow.FromSI(c.System.Units, f.Flow[i]) * d.Factor(0.05)
			ports = append(ports, m{"port": p, "open": f.Open.String(), "flow": m{"value": q, "low": q * 0.93, "high": q * 1.07, "unit": units.Flow.Symbol(c.System.Units)}})
		}
	}
	data, err := json.Marshal(m{"verdict": verdict, "faults": faults, "candidates": cands, "ports": ports})
	if err != nil {
		panic(err)
	}
	return data
}

// oracle is an answer that is wholly right and sure.
func oracle(t *trial.Truth) *Answer {
	a := &Answer{Verdict: "clear"}
	for i := range t.Faults {
		f := &t.Faults[i]
		n := Named{Kind: f.Kind, Where: f.Where, Probability: 1, Together: 1, Severity: &Interval{f.Severity, f.Severity, f.Severity}}
		a.Faults, a.Candidates = append(a.Faults, n), append(a.Candidates, n)
		if f.Main() {
			a.Verdict = "faults"
		}
	}
	for _, f := range t.Flows {
		for i, p := range f.Ports {
			a.Ports = append(a.Ports, PortAnswer{p, f.Open.String(), Interval{f.Flow[i], f.Flow[i], f.Flow[i]}})
		}
	}
	return a
}

func TestScoreOfTheTruthIsFull(t *testing.T) {
	var truths []*trial.Truth
	var right, none []*Answer
	for seed := range uint64(40) {
		c := mustCase(t, seed, trial.Options{Ports: 3 + int(seed%8)})
		truths = append(truths, &c.Truth)
		right = append(right, oracle(&c.Truth))
		none = append(none, &Answer{Verdict: "clear"})
	}
	g := Of(truths, right).Groups[0].Tally
	for _, s := range []Share{g.Detect, g.Top1, g.Top3, g.Top1Alike, g.Place, g.All, g.Listed, g.Named, g.SevIn, g.FlowIn, g.Asserted, g.Sure} {
		assert.Equal(t, 1.0, s.Value())
		assert.Positive(t, s.N)
	}
	assert.Zero(t, g.False.Hits)
	assert.Zero(t, g.Brier.Value())
	assert.InDelta(t, 0, g.LogLoss.Value(), 0.003)
	assert.Zero(t, g.Bins.Error(0))
	assert.Equal(t, 1.0, g.Size.Value())
	g = Of(truths, none).Groups[0].Tally
	assert.Zero(t, g.Top3Alike.Hits)
	assert.Zero(t, g.Detect.Hits)
	assert.Zero(t, g.Asserted.Hits)
	assert.Positive(t, g.Brier.Value())
	assert.Equal(t, 40, Of(truths, make([]*Answer, 40)).Groups[0].Failed)
}

// One case worked by hand.
func TestScoreByHand(t *testing.T) {
	truth := &trial.Truth{Style: survey.Rich, Ports: 4, Gates: []string{"a", "b"}, Faults: []trial.Fault{
		{Kind: trial.Leak, Where: "main", Severity: 1e-3, Observable: true},
		{Kind: trial.Blockage, Where: "b", Severity: 0.5, Observable: true},
		{Kind: trial.FanWeak, Where: "fan", Severity: 0.9},
		{Kind: trial.Undersized, Where: "a-hose", Ducts: []string{"a-hose", "a-drop"}, Severity: 0.12, Observable: true},
	}, Flows: []trial.Flows{{Gates: []string{"a", "b"}, Ports: []string{"a"}, Flow: []float64{0.2}}}}
	a, err := ReadAnswer([]byte(`{"verdict": "faults",
	 "faults": [{"kind": "leak", "where": "bin", "probability": 0.5, "together": 0.95, "alike": [{"kind": "leak", "where": "main", "probability": 0.45}]},
	            {"kind": "blockage", "where": "b", "probability": 0.8, "together": 0.8, "severity": {"value": 40, "low": 35, "high": 55, "unit": "%"}},
	            {"kind": "undersized", "where": "a-drop", "probability": 0.9, "severity": {"value": 125, "low": 118, "high": 130, "unit": "mm"}}],
	 "candidates": [{"kind": "blockage", "where": "b", "probability": 0.8}, {"kind": "leak", "where": "bin", "probability": 0.5},
	            {"kind": "leak", "where": "main", "probability": 0.45}],
	 "ports": [{"port": "a", "open": "b + a", "flow": {"value": 792, "low": 700, "high": 710, "unit": "m3/h"}}]}`))
	require.NoError(t, err)
	s := Of([]*trial.Truth{truth}, []*Answer{a})
	g := s.Groups[0].Tally
	assert.Equal(t, Share{1, 1}, g.Top1)
	assert.Equal(t, Share{0, 1}, g.All, "the leak is asserted in another's name")
	assert.Equal(t, Share{1, 1}, g.Listed)
	assert.Equal(t, Share{1, 2}, g.Named)
	assert.Equal(t, Share{1, 1}, g.Asserted)
	assert.Equal(t, Share{1, 1}, g.Sure)
	assert.Equal(t, 1.5, g.Size.Value())
	// (1-0.8)² + 0.5² + (1-0.45)² + 1 of the fan that is not listed
	assert.InDelta(t, 0.04+0.25+0.3025+1, g.Brier.Value(), 1e-12)
	assert.InDelta(t, -math.Log(0.8)-math.Log(0.5)-math.Log(0.45)-math.Log(1e-3), g.LogLoss.Value(), 1e-12)
	assert.Equal(t, Share{1, 1}, g.SevIn)
	assert.InDelta(t, 0.2, g.SevErr[0], 1e-12)
	assert.Equal(t, Share{0, 1}, g.FlowIn)
	assert.InDelta(t, 0.1, g.FlowErr[0], 1e-9)
	assert.InDelta(t, (0.05+0.2)/2, g.Together.Error(0), 1e-12)
	leaks := s.Kinds[0].Tally
	assert.Equal(t, Share{0, 1}, leaks.Top1, "the blockage does not stand in the way, the bin does")
	assert.Equal(t, Share{1, 1}, leaks.Top1Alike)
	assert.Equal(t, Share{1, 1}, s.Side[0].Asserted)
	assert.Equal(t, Share{1, 1}, s.Side[0].ValueIn)
	assert.Zero(t, s.Side[0].FalselyNamed)
}

// A guess goes the way that a diagnosis' JSON does.
func TestGuessIsScored(t *testing.T) {
	var truths []*trial.Truth
	var said []*Answer
	for seed := range uint64(50) {
		c := mustCase(t, seed, trial.Options{Ports: 3 + int(seed%8)})
		a, err := ReadAnswer(guess(c))
		require.NoError(t, err)
		truths, said = append(truths, &c.Truth), append(said, a)
	}
	s := Of(truths, said)
	g := s.Groups[0].Tally
	assert.InDelta(t, 0.55, g.Top3Alike.Value(), 0.3)
	assert.Greater(t, g.Top3Alike.Value(), g.Top3.Value())
	assert.Contains(t, s.String(), "incl. unseen")
	assert.Contains(t, s.String(), "±")
}
