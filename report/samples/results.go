// Package samples holds invented results and systems that tests of several
// packages show. It is imported by tests only.
package samples

import (
	"math"

	"lostair/diagnose"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/next"
	"lostair/readings"
	"lostair/readings/units"
)

// Results made by hand, so that each thing that can be said is said once. The
// numbers are invented.

func M3h(v float64) float64 { return v / 3600 }

func cm2(v float64) float64 { return v / 1e4 }

func Gate(ids ...string) readings.Open { return readings.Open{Gates: ids} }

var allOpen = readings.Open{All: true}

func shop() *duct.System {
	return &duct.System{File: "shop.yaml", Name: "Two-bench test shop", Units: units.Metric, Ports: []duct.Port{{ID: "saw"}, {ID: "sander"}}}
}

func surveyOf() *readings.Survey {
	row := func(line int, point string, q units.Quantity, v float64, typed, unit string, open readings.Open) readings.Row {
		return readings.Row{Line: line, Open: open, Point: point, Quantity: q, Value: v, Typed: typed, Unit: unit, Date: "2026-03-02"}
	}
	s := &readings.Survey{File: "survey.csv", Rows: []readings.Row{
		row(2, "S1", units.StaticPressure, -1180, "-1180", "Pa", Gate("saw")),
		row(3, "saw", units.MeanVelocity, 21.4, "21.4", "m/s", Gate("saw")),
		row(4, "saw", units.MeanVelocity, 21.6, "21.6", "m/s", Gate("saw")),
		row(5, "M1", units.StaticPressure, -139, "-139", "Pa", Gate("sander", "saw")),
	}}
	s.Readings = []readings.Reading{
		{Open: Gate("saw"), Point: "S1", Quantity: units.StaticPressure, Value: -1180, Count: 1, Rows: []int{0}},
		{Open: Gate("saw"), Point: "saw", Quantity: units.MeanVelocity, Value: 21.5, Count: 2, Rows: []int{1, 2}},
		{Open: Gate("sander", "saw"), Point: "M1", Quantity: units.StaticPressure, Value: -139, Count: 1, HoseOff: []string{"saw"}, Rows: []int{3}},
	}
	return s
}

// Faulty says everything that a result with faults can say.
func Faulty() *diagnose.Result {
	s := surveyOf()
	leak := fault.Candidate{Kind: fault.Leak, Where: "main", Probability: 0.61}
	bin := fault.Candidate{Kind: fault.Leak, Where: "bin", Probability: 0.33}
	row := fault.Candidate{Kind: fault.ReadingWrong, Where: "row 5", Probability: 0.97}
	narrow := fault.Candidate{Kind: fault.Undersized, Where: "sander-hose", Probability: 0.9}
	fix := diagnose.Fix{For: []fault.Candidate{leak, bin}, Cost: 1,
		Gains: []diagnose.Gain{{Port: "saw", Open: Gate("saw"), Before: M3h(590), After: fault.Interval{Value: M3h(652), Low: M3h(630), High: M3h(671)}, Need: M3h(650)}}}
	return &diagnose.Result{
		System: shop(), Survey: s, Baselines: []*readings.Survey{{File: "new.csv"}}, Verdict: diagnose.Faults, Sound: 0.002, Broken: 0.998, Unlisted: 0.031,
		Faults: []diagnose.Fault{
			{Candidate: leak, Together: 0.94, Severity: fault.Interval{Value: cm2(7.2), Low: cm2(5.1), High: cm2(9.9)}, Dimension: units.Area,
				Alike: []fault.Candidate{bin}, Fix: &fix,
				Evidence: []diagnose.Evidence{{Reading: 1, Measured: 21.5, Sound: 23.3, WithFault: 21.4, Sigma: 0.4}, {Reading: 0, Measured: -1180, Sound: -1310, WithFault: -1185, Sigma: 30}}},
			{Candidate: row, Together: 0.97, Severity: fault.Interval{Value: -1390, Low: -1440, High: -1340}, Dimension: units.Pressure,
				Row: &s.Rows[3], Slip: fault.Slip{Kind: fault.SlipPoint}},
			{Candidate: narrow, Together: 0.9, Severity: fault.Interval{Value: 0.125, Low: 0.118, High: 0.133}, Dimension: units.Diameter, Port: "sander"},
		},
		Candidates: []fault.Candidate{row, narrow, leak, bin, {Kind: fault.FanWeak, Where: "fan", Probability: 0.12},
			{Kind: fault.Blockage, Where: "saw", Probability: 0.04}, {Kind: fault.GateRestricted, Where: "saw", Probability: 0.011}},
		Groups: []diagnose.Group{{Members: []fault.Candidate{leak, bin}, Together: 0.94}},
		Fitted: []fault.Candidate{leak},
		Ports: []diagnose.PortFlow{
			{Port: "saw", Open: Gate("saw"), Flow: fault.Interval{Value: M3h(590), Low: M3h(560), High: M3h(622)}, Expected: M3h(655), Need: M3h(650)},
			{Port: "saw", Open: allOpen, Flow: fault.Interval{Value: M3h(420), Low: M3h(400), High: M3h(441)}, Expected: M3h(480), Need: M3h(650)},
			{Port: "sander", Open: allOpen, Flow: fault.Interval{Value: M3h(640), Low: M3h(610), High: M3h(671)}, Expected: M3h(690), Need: M3h(650)},
			{Port: "floor", Open: allOpen, Flow: fault.Interval{Value: M3h(300), Low: M3h(280), High: M3h(321)}, Expected: M3h(310)},
		},
		Checks: []diagnose.Check{
			{Reading: s.Readings[0], Measured: -1180, Expected: -1310, Sigma: 30, Fitted: -1185},
			{Reading: s.Readings[1], Measured: 21.5, Expected: 23.3, Sigma: 0.4, Fitted: 21.4},
			{Reading: s.Readings[2], Measured: -139, Expected: -1450, Sigma: 35, Fitted: -1390, Wrong: true},
		},
		Next: []next.Step{
			{Point: "bin", LookAt: readings.Sealed, Bits: 0.42, Minutes: 1},
			{Point: "fan-inlet", Quantity: units.StaticPressure, Bits: 0.31, Minutes: 3,
				Tells: []next.Explanation{{Kind: fault.Leak, Where: "bin"}, {Sound: true}}},
		},
		Fixes: []diagnose.Fix{fix, {For: []fault.Candidate{narrow}, Cost: 3, Hint: diagnose.EasyBends,
			Small: &diagnose.TooSmall{Port: "sander", Where: "sander-hose", Buy: 0.125, Ducts: []string{"sander-hose"}, Meets: true}}},
		Doubts: []fault.Doubt{{Kind: fault.NoBaseline}},
	}
}

// Clear is a sound system.
func Clear() *diagnose.Result {
	s := surveyOf()
	s.File = "-"
	return &diagnose.Result{System: shop(), Survey: s, Verdict: diagnose.Clear, Sound: 0.973, Broken: 0.027, Unlisted: 0.004,
		Ports: []diagnose.PortFlow{{Port: "saw", Open: Gate("saw"), Flow: fault.Interval{Value: M3h(660), Low: M3h(640), High: M3h(681)}, Expected: M3h(655), Need: M3h(650)}}}
}

// Unclear knows that something is wrong and not what; some of its numbers are
// none.
func Unclear() *diagnose.Result {
	s := surveyOf()
	nan := math.NaN()
	return &diagnose.Result{System: shop(), Survey: s, Verdict: diagnose.Unclear, Sound: 0.12, Broken: 0.88, Unlisted: 0.4,
		Candidates: []fault.Candidate{{Kind: fault.GateLeaking, Where: "saw", Probability: 0.3}, {Kind: fault.FilterLoaded, Where: "filter", Probability: 0.26}},
		Ports:      []diagnose.PortFlow{{Port: "saw", Open: Gate("saw"), Flow: fault.Interval{Value: nan, Low: nan, High: nan}, Expected: nan, Need: M3h(650)}},
		Checks: []diagnose.Check{
			{Reading: s.Readings[0], Measured: -1180, Expected: -1310, Sigma: 30, Fitted: -1305},
			{Reading: s.Readings[1], Measured: 21.5, Expected: nan, Sigma: nan, Fitted: math.Inf(1)},
		}}
}

// Hostile carries control characters wherever a user's text gets in.
func Hostile() *diagnose.Result {
	r := Faulty()
	evil := "x\x1b[2J\u202e\x07y\nz"
	r.System.Name, r.System.File, r.Survey.File = evil, evil, evil
	r.Faults[0].Where, r.Faults[0].Alike[0].Where = evil, evil
	r.Faults[1].Row.Typed, r.Faults[1].Row.Point, r.Faults[1].Slip = evil, evil, fault.Slip{Kind: fault.SlipPlace, At: evil}
	r.Checks[0].Reading.Point, r.Ports[0].Port, r.Next[0].Point, r.Fixes[0].For[0].Where = evil, evil, evil, evil
	r.Ports[0].Open = Gate(evil, "b")
	r.Doubts = []fault.Doubt{{Kind: fault.HugeHole, Where: evil}}
	return r
}
