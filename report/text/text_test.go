package text

import (
	"bytes"
	"errors"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/fault"
	"lostair/readings/units"
	"lostair/report"
	"lostair/report/golden"
	"lostair/report/layout"
	"lostair/report/samples"
	"lostair/report/show"
)

var fixtures = []struct {
	name  string
	make  func() *diagnose.Result
	units units.System
}{
	{"faulty", samples.Faulty, units.Metric},
	{"faulty-us", samples.Faulty, units.US},
	{"clear", samples.Clear, units.Metric},
	{"unclear", samples.Unclear, units.Metric},
}

func textOf(t *testing.T, r *report.Result, s show.Style) string {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, Write(&b, r, s))
	return b.String()
}

// The text is made from the saved JSON, so that saved results are known to hold all
// that is shown.
func TestGoldens(t *testing.T) {
	for _, f := range fixtures {
		t.Run(f.name, func(t *testing.T) {
			var saved bytes.Buffer
			require.NoError(t, report.JSON(&saved, report.From(f.make(), f.units)))
			r, err := report.Read(&saved)
			require.NoError(t, err)
			golden.Check(t, "testdata/"+f.name+".txt", []byte(textOf(t, r, show.Style{})))
			golden.Check(t, "testdata/"+f.name+"-all.txt", []byte(textOf(t, r, show.Style{All: true})))
		})
	}
}

func TestWidth(t *testing.T) {
	for _, f := range fixtures {
		for _, width := range []int{0, 60, 80, 120} {
			most := width
			if width == 0 {
				most = 80
			}
			if width == 60 && strings.HasPrefix(f.name, "faulty") {
				continue // its tables of numbers need more
			}
			for _, l := range strings.Split(textOf(t, report.From(f.make(), f.units), show.Style{Width: width}), "\n") {
				assert.LessOrEqual(t, layout.Width(l), most, l)
			}
		}
	}
}

func TestPlainIsASCII(t *testing.T) {
	r := samples.Faulty()
	r.System.Name = "Säge–Werk ± 日本"
	out := textOf(t, report.From(r, units.Metric), show.Style{Plain: true})
	for _, c := range out {
		assert.Less(t, c, rune(utf8.RuneSelf))
	}
	assert.True(t, strings.HasPrefix(out, "Sage-Werk +/- ??\n"))
}

// Nothing that a user's file holds reaches the terminal as a control.
func TestHostileTextIsInert(t *testing.T) {
	for _, s := range []show.Style{{}, {Plain: true}, {All: true}} {
		out := textOf(t, report.From(samples.Hostile(), units.Metric), s)
		assert.NotContains(t, out, "\x1b")
		assert.NotContains(t, out, "\x07")
		assert.NotContains(t, out, "\u202e")
	}
	// with colour the only controls are our own
	out := textOf(t, report.From(samples.Hostile(), units.Metric), show.Style{Color: true})
	for _, c := range []string{show.Bold, show.Good, show.Bad, show.Doubtful, show.Reset} {
		out = strings.ReplaceAll(out, c, "")
	}
	assert.NotContains(t, out, "\x1b")
}

// Colour adds nothing and takes nothing away.
func TestColourChangesNoText(t *testing.T) {
	for _, f := range fixtures {
		r := report.From(f.make(), f.units)
		out := textOf(t, r, show.Style{Color: true})
		assert.Contains(t, out, "\x1b[")
		for _, c := range []string{show.Bold, show.Good, show.Bad, show.Doubtful, show.Reset} {
			out = strings.ReplaceAll(out, c, "")
		}
		assert.Equal(t, textOf(t, r, show.Style{}), out)
	}
}

func TestManyPortsShowThoseInNeed(t *testing.T) {
	d := samples.Clear()
	d.Ports[0].Flow.Low = samples.M3h(651)
	one := d.Ports[0]
	for range 60 {
		d.Ports = append(d.Ports, one)
	}
	lame := one
	lame.Port, lame.Flow = "lame", fault.Interval{Value: samples.M3h(300), Low: samples.M3h(280), High: samples.M3h(320)}
	d.Ports = append(d.Ports, lame)
	out := textOf(t, report.From(d, units.Metric), show.Style{All: true})
	assert.Contains(t, out, "lame")
	assert.Contains(t, out, "61 more ports get enough, or state no need.")
	assert.Equal(t, 1, strings.Count(out, "SHORT"))
}

type broken struct{}

func (broken) Write([]byte) (int, error) { return 0, errors.New("disk full") }

func TestWriteErrorsComeBack(t *testing.T) {
	assert.ErrorContains(t, Write(broken{}, report.From(samples.Clear(), units.Metric), show.Style{}), "disk full")
}

// Beside other faults a fault's readings are held against those others, and it is said so.
func TestEvidenceAmongSeveralFaults(t *testing.T) {
	d := samples.Faulty()
	one := report.From(d, units.Metric)
	require.False(t, one.Several())
	require.Contains(t, textOf(t, one, show.Style{All: true}), "for a sound system")
	d.Faults = append(d.Faults, d.Faults[0])
	d.Faults[len(d.Faults)-1].Kind, d.Faults[len(d.Faults)-1].Where = fault.FanWeak, "fan"
	two := report.From(d, units.Metric)
	require.True(t, two.Several())
	text := textOf(t, two, show.Style{All: true})
	require.Contains(t, strings.Join(strings.Fields(text), " "), "for a system with the other faults alone; with this one they fit")
	require.NotContains(t, text, "for a sound system")
}

// Chances that overlap are explained, and only those.
func TestOverlappingChances(t *testing.T) {
	leaks := func(p ...float64) (out []report.Candidate) {
		for i, x := range p {
			out = append(out, report.Candidate{Kind: "leak", Where: string(rune('a' + i)), Name: "a leak in duct " + string(rune('a'+i)), Probability: x})
		}
		return out
	}
	const note = "The chances add up to more than 100 %"
	r := report.From(samples.Unclear(), units.Metric)
	r.Candidates, r.Unlisted = leaks(0.5, 0.3), 0.2
	require.NotContains(t, textOf(t, r, show.Style{All: true}), note)
	r.Unlisted = 0.3
	require.Contains(t, textOf(t, r, show.Style{All: true}), note)
}

// A value that no dust system shows is not offered in place of a wrong one.
func TestAbsurdValuesAreNotTold(t *testing.T) {
	d := samples.Faulty()
	for i := range d.Faults {
		if d.Faults[i].Row != nil {
			d.Faults[i].Severity = fault.Interval{Value: 1e12, Low: 1e11, High: 1e13}
		}
	}
	text := strings.Join(strings.Fields(textOf(t, report.From(d, units.Metric), show.Style{All: true})), " ")
	assert.Contains(t, text, "Nothing near it fits.")
	assert.NotContains(t, text, "00000")
}
