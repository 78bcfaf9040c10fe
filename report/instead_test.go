package report

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/fault"
	"lostair/readings/units"
	"lostair/report/samples"
	"lostair/report/show"
)

// One thing is not several.
func TestPlural(t *testing.T) {
	require.Equal(t, "1 reading", show.Plural(1, "reading"))
	require.Equal(t, "2 readings", show.Plural(2, "reading"))
}

// Beside other faults a fault's readings are held against those others, and it is said so.
func TestEvidenceAmongSeveralFaults(t *testing.T) {
	d := samples.Faulty()
	one := From(d, units.Metric)
	require.False(t, one.Several())
	require.Contains(t, textOf(t, one, show.Style{All: true}), "for a sound system")
	d.Faults = append(d.Faults, d.Faults[0])
	d.Faults[len(d.Faults)-1].Kind, d.Faults[len(d.Faults)-1].Where = fault.FanWeak, "fan"
	two := From(d, units.Metric)
	require.True(t, two.Several())
	text := textOf(t, two, show.Style{All: true})
	require.Contains(t, strings.Join(strings.Fields(text), " "), "for a system with the other faults alone; with this one they fit")
	require.NotContains(t, text, "for a sound system")
}

// Chances that overlap are explained, and only those.
func TestOverlappingChances(t *testing.T) {
	leaks := func(p ...float64) (out []Candidate) {
		for i, x := range p {
			out = append(out, Candidate{Kind: "leak", Where: string(rune('a' + i)), Name: "a leak in duct " + string(rune('a'+i)), Probability: x})
		}
		return out
	}
	const note = "The chances add up to more than 100 %"
	r := From(samples.Unclear(), units.Metric)
	r.Candidates, r.Unlisted = leaks(0.5, 0.3), 0.2
	require.NotContains(t, textOf(t, r, show.Style{All: true}), note)
	r.Unlisted = 0.3
	require.Contains(t, textOf(t, r, show.Style{All: true}), note)
}
