package diagnose_test

import (
	"bytes"
	"context"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/trial"
	"lostair/diagnose/trial/survey"
	"lostair/readings"
)

// lawSeeds are cases that the laws are tried on: small, so that they are quick.
var lawSeeds = []uint64{7, 11, 12, 30}

func lawCase(t *testing.T, seed uint64) *trial.Case {
	t.Helper()
	c, err := trial.NewCase(seed, trial.Options{Ports: 4, Style: survey.Normal, US: trial.No})
	require.NoError(t, err)
	return c
}

func result(t *testing.T, sys *duct.System, csv string, bases []*readings.Survey) *diagnose.Result {
	t.Helper()
	s, bad := readings.Load(strings.NewReader(csv), "survey.csv", sys.Units)
	require.NoError(t, bad.Err())
	r, err := diagnose.Diagnose(context.Background(), sys, s, diagnose.Options{Baselines: bases})
	require.NoError(t, err)
	return r
}

// probabilities by kind and place; wrong rows are left out, since their names are line numbers.
func probabilities(r *diagnose.Result) map[string]float64 {
	out := map[string]float64{}
	for _, c := range r.Candidates {
		if c.Kind != fault.ReadingWrong {
			out[c.Kind.String()+" "+c.Where] = c.Probability
		}
	}
	return out
}

func requireSame(t *testing.T, want, got map[string]float64, tol float64) {
	t.Helper()
	for k, p := range want {
		require.InDelta(t, p, got[k], tol, k)
	}
	for k, p := range got {
		require.InDelta(t, want[k], p, tol, k)
	}
}

func TestSameInputSameResult(t *testing.T) {
	c := lawCase(t, lawSeeds[0])
	a := result(t, c.System, string(c.SurveyCSV), c.Baselines)
	b := result(t, c.System, string(c.SurveyCSV), c.Baselines)
	require.Equal(t, a.Candidates, b.Candidates)
	require.Equal(t, a.Ports, b.Ports)
	require.Equal(t, a.Next, b.Next)
}

func TestOrderOfRowsDoesNotMatter(t *testing.T) {
	for _, seed := range lawSeeds {
		c := lawCase(t, seed)
		lines := strings.Split(strings.TrimSpace(string(c.SurveyCSV)), "\n")
		rand.New(rand.NewPCG(seed, 5)).Shuffle(len(lines)-1, func(i, j int) {
			lines[i+1], lines[j+1] = lines[j+1], lines[i+1]
		})
		want := probabilities(result(t, c.System, string(c.SurveyCSV), c.Baselines))
		got := probabilities(result(t, c.System, strings.Join(lines, "\n")+"\n", c.Baselines))
		requireSame(t, want, got, 2e-3)
	}
}

// The names of ids carry no information: with every id replaced the same
// places have the same probabilities.
func TestNamesOfIdsDoNotMatter(t *testing.T) {
	for _, seed := range lawSeeds {
		c := lawCase(t, seed)
		rename := map[string]string{}
		sys := *c.System
		sys.Ducts = append([]duct.Duct(nil), sys.Ducts...)
		sys.Ports = append([]duct.Port(nil), sys.Ports...)
		n := 0
		name := func(id string) string {
			if _, ok := rename[id]; !ok {
				n++
				// in reverse order of the alphabet, so that sorting by name would show
				rename[id] = "z" + strings.Repeat("y", 40-n)
			}
			return rename[id]
		}
		for i := range sys.Ducts {
			d := &sys.Ducts[i]
			d.ID = name(d.ID)
			if d.Gate != "" {
				d.Gate = name(d.Gate)
			}
			d.Taps = append([]duct.Tap(nil), d.Taps...)
			for k := range d.Taps {
				d.Taps[k].ID = name(d.Taps[k].ID)
			}
		}
		for i := range sys.Ports {
			sys.Ports[i].ID = name(sys.Ports[i].ID)
		}
		require.NoError(t, sys.Finish().Err())
		renamed := func(s *readings.Survey) *readings.Survey {
			var b bytes.Buffer
			rows := append([]readings.Row(nil), s.Rows...)
			for i := range rows {
				r := &rows[i]
				r.Point = orSame(rename, r.Point)
				r.Open.Gates = all(rename, r.Open.Gates)
				r.HoseOff = all(rename, r.HoseOff)
			}
			require.NoError(t, readings.Write(&b, rows, sys.Units))
			out, bad := readings.Load(&b, s.File, sys.Units)
			require.NoError(t, bad.Err())
			return out
		}
		var bases []*readings.Survey
		for _, s := range c.Baselines {
			bases = append(bases, renamed(s))
		}
		want := map[string]float64{}
		for k, p := range probabilities(result(t, c.System, string(c.SurveyCSV), c.Baselines)) {
			kind, where, _ := strings.Cut(k, " ")
			want[kind+" "+orSame(rename, where)] = p
		}
		r, err := diagnose.Diagnose(context.Background(), &sys, renamed(c.Survey), diagnose.Options{Baselines: bases})
		require.NoError(t, err)
		requireSame(t, want, probabilities(r), 2e-3)
	}
}

func orSame(m map[string]string, id string) string {
	if x, ok := m[id]; ok {
		return x
	}
	return id
}

func all(m map[string]string, ids []string) []string {
	var out []string
	for _, id := range ids {
		out = append(out, orSame(m, id))
	}
	return out
}

// The units in which a survey is written down carry no information apart from
// their rounding.
func TestUnitsDoNotMatter(t *testing.T) {
	for _, seed := range lawSeeds {
		c := lawCase(t, seed)
		var b bytes.Buffer
		rows := append([]readings.Row(nil), c.Survey.Rows...)
		for i := range rows {
			r := &rows[i]
			d := r.Quantity.Dimension()
			r.Unit = d.Symbol(1)
			r.Typed = strconvFull(d.FromSI(1, r.Value))
		}
		require.NoError(t, readings.Write(&b, rows, c.System.Units))
		want := probabilities(result(t, c.System, string(c.SurveyCSV), c.Baselines))
		got := probabilities(result(t, c.System, b.String(), c.Baselines))
		// the ways in which a number may be mistyped depend on how it is written
		requireSame(t, want, got, 0.02)
	}
}

func TestProbabilitiesAreProbabilities(t *testing.T) {
	for _, seed := range lawSeeds {
		c := lawCase(t, seed)
		r := result(t, c.System, string(c.SurveyCSV), c.Baselines)
		require.LessOrEqual(t, r.Sound+r.Unlisted, 1+1e-9)
		for _, g := range r.Groups {
			sum := 0.0
			for _, m := range g.Members {
				require.LessOrEqual(t, m.Probability, g.Together+1e-6)
				sum += m.Probability
			}
			require.LessOrEqual(t, g.Together, math.Min(1, sum)+0.02)
		}
		for _, f := range r.Faults {
			require.LessOrEqual(t, f.Severity.Low, f.Severity.Value)
			require.LessOrEqual(t, f.Severity.Value, f.Severity.High)
		}
		for _, p := range r.Ports {
			require.Less(t, p.Flow.Low, p.Flow.High)
		}
	}
}
