package report

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/readings/units"
)

// What is likelier than all else and no fault leads; flows that the readings
// can't tell are not shown beside it.
func TestNoFaultOfTheSystemLeads(t *testing.T) {
	d := unclear()
	sign := "If every static_pressure had the other sign, the readings would fit with no fault."
	d.Ports = clearResult().Ports
	d.Unlisted, d.Instead = 0.97, sign
	d.Doubts = append(d.Doubts, sign)
	r := From(d, units.Metric)
	require.Equal(t, sign, r.Instead)
	require.True(t, strings.HasSuffix(r.Summary, "most likely it is no fault of the system. "+sign))
	require.NotContains(t, r.Doubts, sign, "it is said once")
	var told strings.Builder
	require.NoError(t, Text(&told, r, Style{}))
	text := strings.Join(strings.Fields(told.String()), " ")
	require.Contains(t, text, "no fault of the system, as said above")
	require.Contains(t, text, "It can't be told until what is said above")
	require.NotContains(t, text, "this result", "what faults would make of such readings is no result")
	require.Empty(t, portRows(d, r))
	var page strings.Builder
	require.NoError(t, HTML(&page, d, units.Metric))
	require.Contains(t, page.String(), "It can&#39;t be told until what is said above", "the page says why there are no flows")
	require.NotContains(t, page.String(), "with the suspects", "nor does it draw them")

	d.Instead = ""
	page.Reset()
	require.NoError(t, HTML(&page, d, units.Metric))
	require.Contains(t, page.String(), "It can&#39;t be told from readings that fit nothing")

	d.Unlisted, d.Instead = 0.4, ""
	r = From(d, units.Metric)
	require.Empty(t, r.Instead)
	require.Contains(t, r.Doubts, sign)
	require.NotEmpty(t, portRows(d, r))
}

// One thing is not several.
func TestPlural(t *testing.T) {
	require.Equal(t, "1 reading", plural(1, "reading"))
	require.Equal(t, "2 readings", plural(2, "reading"))
}

// Beside other faults a fault's readings are held against those others, and it is said so.
func TestEvidenceAmongSeveralFaults(t *testing.T) {
	d := faulty()
	one := From(d, units.Metric)
	require.False(t, one.Several())
	require.Contains(t, textOf(t, one, Style{}), "for a sound system")
	d.Faults = append(d.Faults, d.Faults[0])
	d.Faults[len(d.Faults)-1].Kind, d.Faults[len(d.Faults)-1].Where = diagnose.FanWeak, "fan"
	two := From(d, units.Metric)
	require.True(t, two.Several())
	text := textOf(t, two, Style{})
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
	f := Fault{Candidate: leaks(0.5)[0], Alike: leaks(0, 0.3, 0.2)[1:], Together: 1}
	require.NotContains(t, alike(f), note)
	f.Alike[1].Probability = 0.3
	require.Contains(t, alike(f), note)

	r := From(unclear(), units.Metric)
	r.Candidates, r.Unlisted = leaks(0.5, 0.3), 0.2
	require.NotContains(t, textOf(t, r, Style{}), note)
	r.Unlisted = 0.3
	require.Contains(t, textOf(t, r, Style{}), note)
}
