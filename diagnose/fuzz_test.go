package diagnose_test

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/trial"
	"lostair/diagnose/trial/survey"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report"
	"lostair/report/html"
	"lostair/report/show"
	"lostair/report/text"
)

// fuzzRows is how many rows of a made-up survey a fuzz case keeps, so that a
// case takes a fraction of a second; a fuzzing worker gives up after ten.
const fuzzRows = 12

// FuzzDiagnose: whatever was read in a valid system, a diagnosis ends, within
// bounds, in a result that is sound by its own terms, and no report of it
// panics or holds what is no number. Each four bytes of edits spoil one row.
func FuzzDiagnose(f *testing.F) {
	f.Add(uint64(1), uint8(2), uint8(0), []byte{})
	f.Add(uint64(2), uint8(0), uint8(1), []byte{0, 0, 0, 0, 1, 1, 0, 0, 2, 2, 0, 0})
	f.Add(uint64(3), uint8(4), uint8(2), []byte{3, 0, 9, 0, 3, 1, 200, 0, 4, 2, 30, 0})
	f.Add(uint64(4), uint8(7), uint8(3), []byte{5, 0, 0, 0, 6, 0, 1, 0, 7, 0, 2, 0, 8, 1, 3, 0})
	f.Add(uint64(5), uint8(1), uint8(4), []byte{9, 0, 20, 0, 9, 1, 30, 0, 1, 3, 0, 0})
	f.Fuzz(func(t *testing.T, seed uint64, ports, flags uint8, edits []byte) {
		opt := trial.Options{Ports: 1 + int(ports%8), Quick: true, Baseline: trial.No, Style: survey.Normal}
		if flags&1 != 0 {
			opt.Baseline = trial.Yes
		}
		if flags&2 != 0 {
			opt = harshly(opt)
		}
		c, err := trial.NewCase(seed, opt)
		if err != nil {
			t.Skip("the true plant has no solution: ", err)
		}
		survey := spoilt(t, c, edits)
		if survey == nil {
			return // refused as a file, which is as good
		}
		ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
		defer cancel()
		var opts diagnose.Options
		for _, b := range c.Baselines {
			opts.Baselines = append(opts.Baselines, short(t, c, b))
		}
		r, err := diagnose.Diagnose(ctx, c.System, survey, opts)
		require.NoError(t, err)
		holds(t, r)
	})
}

// short is a survey with as many rows as a fuzz case keeps.
func short(t *testing.T, c *trial.Case, s *readings.Survey) *readings.Survey {
	var b bytes.Buffer
	require.NoError(t, readings.Write(&b, s.Rows[:min(len(s.Rows), fuzzRows)], c.System.Units))
	out, list := readings.Load(&b, "baseline.csv", c.System.Units)
	require.NoError(t, list.Err())
	return out
}

func harshly(o trial.Options) trial.Options {
	h := trial.Harsh()
	h.Ports, h.Quick, h.Baseline, h.Style = o.Ports, o.Quick, o.Baseline, o.Style
	return h
}

// spoilt is the case's survey, cut short, with its rows edited, by way of a
// file; nil if that is no valid file any more.
func spoilt(t *testing.T, c *trial.Case, edits []byte) *readings.Survey {
	rows := slices.Clone(c.Survey.Rows)
	rows = rows[:min(len(rows), fuzzRows)]
	for ; len(edits) >= 4 && len(rows) < 200; edits = edits[4:] {
		rows = spoil(c.System, rows, edits[0], edits[1], edits[2])
	}
	var b bytes.Buffer
	require.NoError(t, readings.Write(&b, rows, c.System.Units))
	s, list := readings.Load(&b, "fuzz.csv", c.System.Units)
	if list.Err() != nil {
		return nil
	}
	if diagnose.Fits(c.System, s).Err() != nil {
		return nil
	}
	return s
}

// spoil does one thing to row at.
func spoil(sys *duct.System, rows []readings.Row, what, at, by byte) []readings.Row {
	r := &rows[int(at)%len(rows)]
	set := func(v float64) { r.Value, r.Typed, r.Unit = v, "", "" }
	gates := sys.Gates()
	switch what % 12 {
	case 0:
		set(0)
	case 1:
		set(-r.Value)
	case 2:
		set(r.Value * math.Pow(10, float64(int(by)%13-6)))
	case 3:
		set(math.Copysign(math.Pow(10, float64(by)), r.Value))
	case 4: // many repeats
		for range int(by) % 40 {
			rows = append(rows, rows[int(at)%len(rows)])
		}
	case 5:
		r.Instrument = ""
	case 6:
		r.HoseOff = []string{sys.Ports[int(by)%len(sys.Ports)].ID}
	case 7:
		r.Open = readings.Open{All: by%2 == 0}
	case 8:
		if len(gates) > 0 {
			r.Open = readings.Open{Gates: []string{gates[int(by)%len(gates)]}}
		}
	case 9: // another quantity of the same number
		r.Quantity = units.StaticPressure + units.Quantity(int(by)%7)
		set(r.Value)
	case 10:
		if len(rows) > 1 {
			rows = append(rows[:int(at)%len(rows)], rows[int(at)%len(rows)+1:]...)
		}
	case 11:
		set(r.Value * (1 + float64(int8(by))/100))
	}
	return rows
}

// holds checks a result against what a result promises.
func holds(t *testing.T, r *diagnose.Result) {
	t.Helper()
	share := func(p float64, what string) { require.True(t, p >= 0 && p <= 1, "%s is %v", what, p) }
	share(r.Sound, "sound")
	share(r.Unlisted, "unlisted")
	require.LessOrEqual(t, r.Sound+r.Unlisted, 1+1e-9)
	for _, c := range r.Candidates {
		share(c.Probability, c.Kind.String()+" "+c.Where)
	}
	for _, f := range r.Faults {
		share(f.Probability, f.Where)
		share(f.Together, f.Where)
		require.GreaterOrEqual(t, f.Together, 0.5, "asserted below one half")
		require.GreaterOrEqual(t, f.Together, f.Probability-1e-9, f.Where)
		ordered(t, f.Severity, f.Kind.String()+" "+f.Where)
		switch f.Kind {
		case fault.Blockage, fault.GateRestricted, fault.FanWeak:
			require.True(t, f.Severity.Low >= 0 && f.Severity.High <= 1, "%s %s %v", f.Kind, f.Where, f.Severity)
		case fault.Leak, fault.GateLeaking, fault.Undersized:
			require.GreaterOrEqual(t, f.Severity.Low, 0.0)
		}
	}
	for _, p := range r.Ports {
		ordered(t, p.Flow, "flow at "+p.Port)
	}
	for _, n := range r.Next {
		require.True(t, n.Bits >= 0 && !math.IsInf(n.Bits, 0), "%s: %v bits", n.Point, n.Bits)
	}
	if r.Verdict == diagnose.Clear {
		require.Less(t, r.Broken, 0.5)
	}
	reports(t, r)
}

func ordered(t *testing.T, i fault.Interval, what string) {
	t.Helper()
	for _, v := range []float64{i.Low, i.Value, i.High} {
		require.False(t, math.IsNaN(v) || math.IsInf(v, 0), "%s: %v", what, i)
	}
	slack := 1e-9 * math.Abs(i.Value)
	require.True(t, i.Low <= i.Value+slack && i.Value <= i.High+slack, "%s: %v", what, i)
}

// reports writes a result in every form.
func reports(t *testing.T, r *diagnose.Result) {
	t.Helper()
	x := report.From(r, r.System.Units)
	var b bytes.Buffer
	require.NoError(t, report.JSON(&b, x))
	require.True(t, json.Valid(b.Bytes()))
	require.NotContains(t, b.String(), "NaN")
	b.Reset()
	require.NoError(t, text.Write(&b, x, show.Style{}))
	require.NotContains(t, b.String(), "NaN")
	b.Reset()
	require.NoError(t, html.Write(&b, r, r.System.Units))
	require.NotContains(t, b.String(), "NaN")
}
