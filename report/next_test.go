package report

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"lostair/diagnose/fault"
	"lostair/readings/units"
	"lostair/report/show"
)

// Readings that tell about as much of the same stand in one line.
func TestNextMerges(t *testing.T) {
	read := func(point, open, why string, bits float64) Next {
		return Next{Point: point, Quantity: "static_pressure", Open: open, Why: why, Bits: bits, Minutes: 2}
	}
	look := func(point string, bits float64) Next {
		return Next{Point: point, Look: "Does " + point + " hiss?", Why: "shows a leak at " + point, Bits: bits, Minutes: 3}
	}
	steps := NextSteps([]Next{look("main", 0.3), read("T1", "saw", "a", 0.3), look("side", 0.29), read("T2", "saw", "a", 0.25), read("T1", "all", "a", 0.2), read("T3", "saw", "a", 0.1),
		read("T4", "saw", "b", 0.3), look("far", 0.01)})
	words := show.Each(steps, NextStep.Words)
	assert.Equal(t, []string{
		"Does main hiss? The same at side tells as much.",
		"Static pressure at T1, with gate saw open; or at T2, or at T1 with all gates open, which tells as much",
		"Static pressure at T3, with gate saw open",
		"Static pressure at T4, with gate saw open",
		"Does far hiss?",
	}, words)
}

// A value that no dust system shows is not offered in place of a wrong one.
func TestAbsurdValues(t *testing.T) {
	for _, c := range []struct {
		v, half float64
		d       units.Dimension
		want    bool
	}{
		{-1400, 50, units.Pressure, false}, {-3e9, 1e7, units.Pressure, true}, {21, 1, units.Velocity, false}, {4000, 1, units.Velocity, true},
		{0.3, 0.01, units.Flow, false}, {1e5, 10, units.Flow, true}, {1, 40, units.Pressure, true},
	} {
		assert.Equal(t, c.want, absurd(fault.Interval{Value: c.v, Low: c.v - c.half, High: c.v + c.half}, c.d), "%v", c)
	}
}

// What a step mends is named by its number; with one fault alone not at all.
func TestAgainst(t *testing.T) {
	leak, bin, gate := Candidate{Kind: "leak", Where: "main", Name: "a leak in duct main"}, Candidate{Kind: "leak", Where: "bin", Name: "a leak at the dust bin"}, Candidate{Kind: "gate-restricted", Where: "saw", Name: "gate saw not fully open"}
	r := &Result{Faults: []Fault{{Candidate: leak, Alike: []Candidate{bin}}}}
	assert.Empty(t, Against(r, []Candidate{leak, bin}))
	assert.Equal(t, "fault 1 and gate saw not fully open", Against(r, []Candidate{bin, gate}))
	r.Faults = append(r.Faults, Fault{Candidate: gate})
	assert.Equal(t, "fault 2", Against(r, []Candidate{gate}))
	f := Fault{Candidate: leak, Together: 0.9, Alike: []Candidate{{Kind: "leak", Where: "side", Name: "a leak in duct side", Probability: 0.2}, bin, {Kind: "leak", Where: "drop", Name: "a leak in duct drop", Probability: 0.1}}}
	f.Probability = 0.6
	shares(&f)
	assert.Equal(t, "main 60 %, side 20 %, drop 10 %, the dust bin under 1 %", f.Shared())
	assert.Equal(t, "a leak in main, side, drop or the dust bin", f.Group())
	sum := f.Share
	for _, x := range f.Alike {
		sum += x.Share
	}
	assert.InDelta(t, f.Together, sum, 1e-9, "shares sum to the chance of the group")
}

// Shares as they are said add up to what is said of the group, whatever rounding does to each.
func TestSharesAsSaidAddUp(t *testing.T) {
	said := func(together float64, chances ...float64) []float64 {
		f := Fault{Candidate: Candidate{Kind: "leak", Where: "0", Probability: chances[0]}, Together: together}
		for i, p := range chances[1:] {
			f.Alike = append(f.Alike, Candidate{Kind: "leak", Where: fmt.Sprint(i + 1), Probability: p})
		}
		shares(&f)
		var out []float64
		for _, m := range f.Members() {
			out = append(out, f.Shown(m))
		}
		return out
	}
	assert.Equal(t, []float64{0.41, 0.31, 0.14, 0.14}, said(0.998, 0.407, 0.3155, 0.137, 0.137))
	assert.Equal(t, []float64{0.34, 0.33, 0.33}, said(1, 1, 1, 1))
	assert.Equal(t, []float64{0.5, 0.25, 0.25, 0}, said(0.996, 0.5, 0.25, 0.25, 0.001))
	rapid.Check(t, func(t *rapid.T) {
		chances := rapid.SliceOfN(rapid.Float64Range(0.001, 1), 1, 12).Draw(t, "chances")
		together := rapid.Float64Range(0.5, 1).Draw(t, "together")
		sum := 0.0
		for _, x := range said(together, chances...) {
			sum += x
		}
		if math.Abs(sum-math.Round(100*together)/100) > 1e-9 {
			t.Fatalf("they add up to %v of %v", sum, together)
		}
	})
}
