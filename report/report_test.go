package report

import (
	"bytes"
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/fault"
	"lostair/readings/units"
	"lostair/report/golden"
	"lostair/report/samples"
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

func jsonOf(t *testing.T, r *Result) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, JSON(&b, r))
	return b.Bytes()
}

// Saved results can be read back, and nothing is lost.
func TestGoldens(t *testing.T) {
	for _, f := range fixtures {
		t.Run(f.name, func(t *testing.T) {
			saved := jsonOf(t, From(f.make(), f.units))
			golden.Check(t, "testdata/"+f.name+".json", saved)
			r, err := Read(bytes.NewReader(saved))
			require.NoError(t, err)
			assert.Equal(t, saved, jsonOf(t, r))
		})
	}
}

// The keys and values that the format's page fixes.
func TestJSONKeepsTheContract(t *testing.T) {
	var got map[string]any
	require.NoError(t, json.Unmarshal(jsonOf(t, From(samples.Faulty(), units.Metric)), &got))
	assert.Equal(t, "faults", got["verdict"])
	fault := got["faults"].([]any)[0].(map[string]any)
	assert.Equal(t, "leak", fault["kind"])
	assert.Equal(t, "main", fault["where"])
	assert.Equal(t, 0.61, fault["probability"])
	assert.Equal(t, 0.94, fault["together"])
	assert.Equal(t, map[string]any{"value": 7.2, "low": 5.1, "high": 9.9, "unit": "cm2"}, fault["severity"])
	alike := fault["alike"].([]any)[0].(map[string]any)
	assert.Equal(t, []any{"leak", "bin", 0.33}, []any{alike["kind"], alike["where"], alike["probability"]})
	wrong := got["faults"].([]any)[1].(map[string]any)
	assert.Equal(t, "row 5", wrong["where"])
	assert.Equal(t, map[string]any{"value": -1390.0, "low": -1440.0, "high": -1340.0, "unit": "Pa"}, wrong["severity"])
	cand := got["candidates"].([]any)[2].(map[string]any)
	assert.Equal(t, []any{"leak", "main", 0.61}, []any{cand["kind"], cand["where"], cand["probability"]})
	also := cand["alike"].([]any)[0].(map[string]any)
	assert.Equal(t, []any{"leak", "bin", 0.33}, []any{also["kind"], also["where"], also["probability"]})
	port := got["ports"].([]any)[0].(map[string]any)
	assert.Equal(t, map[string]any{"port": "saw", "open": "saw", "expected": 655.0, "need": 650.0,
		"flow": map[string]any{"value": 590.0, "low": 560.0, "high": 622.0, "unit": "m3/h"}}, port)
	next := got["next"].([]any)[1].(map[string]any)
	assert.Equal(t, map[string]any{"point": "fan-inlet", "quantity": "static_pressure", "unit": "Pa", "open": "none", "bits": 0.31, "minutes": 3.0,
		"why": "tells a leak at the dust bin from a sound system"}, next)
}

// Every severity has the unit that the contract gives its kind.
func TestSeverityUnits(t *testing.T) {
	for kind, want := range map[fault.Kind]string{
		fault.Leak: "cm2", fault.Blockage: "%", fault.GateRestricted: "%", fault.GateLeaking: "cm2",
		fault.FilterLoaded: "x", fault.FanWeak: "%", fault.Undersized: "mm",
	} {
		r := &diagnose.Result{Faults: []diagnose.Fault{{Candidate: fault.Candidate{Kind: kind, Where: "w", Probability: 0.9},
			Severity: fault.Interval{Value: 0.25, Low: 0.2, High: 0.3}, Dimension: kind.Dimension()}}}
		f := From(r, units.Metric).Faults[0]
		require.NotNil(t, f.Severity, kind)
		assert.Equal(t, want, f.Severity.Unit, kind)
		assert.NotEmpty(t, f.HowBad, kind)
		assert.NotEmpty(t, f.Do, kind)
		assert.NotContains(t, f.HowBad+f.Name, "%!", kind)
	}
}

// JSON knows no number that is none; From must not hand it one.
func TestNoNumberIsLeftOut(t *testing.T) {
	r := From(samples.Unclear(), units.US)
	assert.Nil(t, r.Ports[0].Flow)
	assert.Nil(t, r.Ports[0].Expected)
	assert.Len(t, r.Checks, 1)
	assert.NotContains(t, string(jsonOf(t, r)), "NaN")
}

func TestReadRefuses(t *testing.T) {
	for in, want := range map[string]string{
		`{"version": 99}`: "a result of version 99; this program reads versions 1 to 1",
		`{}`:              "a result of version 0; this program reads versions 1 to 1",
		`[`:               "not a saved result: unexpected EOF",
	} {
		_, err := Read(strings.NewReader(in))
		assert.EqualError(t, err, want)
	}
}

type broken struct{}

func (broken) Write([]byte) (int, error) { return 0, errors.New("disk full") }

func TestWriteErrorsComeBack(t *testing.T) {
	r := From(samples.Clear(), units.Metric)
	assert.ErrorContains(t, JSON(broken{}, r), "disk full")
}
