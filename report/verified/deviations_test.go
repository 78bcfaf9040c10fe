package verified

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/report"
)

// A duct of another size is told beside what looks the same, however many of
// these are likelier; its losses are another thing.
func TestASizeIsToldAmongWhatLooksTheSame(t *testing.T) {
	built := func(name string, p float64) report.Alike {
		return report.Alike{Kind: "as-built", Where: "drop", Probability: p, Name: name}
	}
	d := deviation{kind: "gate-restricted", where: "saw", name: "gate saw not fully open", look: "Look at the gate.", probability: 0.5, together: 0.9,
		alike: []report.Alike{{Kind: "blockage", Where: "hose", Probability: 0.2, Name: "a blockage in hose"}},
		sizes: map[string]string{"drop behaves like 80 mm": "Measure across drop.", "drop behaves like 63 mm": "Measure across drop."}}
	d.takes(&deviation{kind: "as-built", where: "hose", name: "hose loses 4 times", probability: 0.15,
		alike: []report.Alike{built("drop loses 3 times", 0.06), built("drop behaves like 80 mm", 0.04), built("drop behaves like 63 mm", 0.02)}})
	var names []string
	for _, a := range d.told() {
		names = append(names, a.Name)
	}
	require.Equal(t, []string{"gate saw not fully open", "a blockage in hose", "hose loses 4 times", "drop loses 3 times", "drop behaves like 80 mm"}, names)
	require.Contains(t, d.words(), "Look at the gate. Measure across drop.")
}

// A size and a loss of one duct are told apart, and so are two ducts that happen
// to be named by what looks like either.
func TestOnlyTheSameThingIsJoined(t *testing.T) {
	size := deviation{kind: "as-built", where: "drop-a", name: "drop-a behaves like 80 mm"}
	loss := deviation{kind: "as-built", where: "drop-b", name: "drop-b loses 2 times",
		alike: []report.Alike{{Kind: "as-built", Where: "drop-a", Name: "drop-a loses 1.5 times"}}}
	require.False(t, size.touches(&loss))
	loss.alike[0].Name = size.name
	require.True(t, size.touches(&loss))
}
