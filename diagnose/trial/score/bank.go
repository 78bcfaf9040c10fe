package score

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"

	"lostair/diagnose/trial"
	"lostair/diagnose/trial/survey"
	"lostair/readings/units"
)

// WriteBank writes each case into a folder of its own below dir: NNN with
// system.yaml, survey.csv, baseline.csv where there is one, and truth.json.
func WriteBank(dir string, cases []*trial.Case) error {
	for i, c := range cases {
		name := fmt.Sprintf("%03d", i+1)
		if err := WriteCase(c, filepath.Join(dir, name), name); err != nil {
			return err
		}
	}
	return nil
}

// WriteCase writes a case into a folder, under a name that its truth has.
func WriteCase(c *trial.Case, dir, name string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	truth, err := TruthJSON(&c.Truth, name, c.System.Name)
	if err != nil {
		return err
	}
	files := []struct {
		name string
		data []byte
	}{{"system.yaml", c.SystemYAML}, {"survey.csv", c.SurveyCSV}, {"baseline.csv", c.BaselineCSV}, {"truth.json", truth}}
	for _, f := range files {
		if f.data == nil {
			continue
		}
		if err := os.WriteFile(filepath.Join(dir, f.name), f.data, 0o644); err != nil {
			return err
		}
	}
	return nil
}

// The form of truth.json.
type (
	truthJSON struct {
		Case     string       `json:"case"`
		Bank     string       `json:"bank"`
		System   string       `json:"system"`
		Units    string       `json:"units"`
		Ports    int          `json:"ports"`
		Gates    []string     `json:"gates"`
		Style    survey.Style `json:"style"`
		Readings int          `json:"readings"`
		Baseline bool         `json:"baseline"`
		Sound    bool         `json:"sound"`
		Faults   []faultJSON  `json:"faults"`
		Flows    []flowsJSON  `json:"flows"`
	}
	faultJSON struct {
		Kind       string       `json:"kind"`
		Where      string       `json:"where"`
		Ducts      []string     `json:"ducts,omitempty"`
		Port       string       `json:"port,omitempty"`
		Severity   severityJSON `json:"severity"`
		FlowShare  float64      `json:"flow_share,omitempty"`
		SNR        *float64     `json:"snr"`
		MaxShift   *float64     `json:"max_shift,omitempty"`
		Observable bool         `json:"observable"`
		Along      *float64     `json:"along,omitempty"`
		How        string       `json:"how,omitempty"`
	}
	severityJSON struct {
		Value *float64 `json:"value"`
		Unit  string   `json:"unit"`
	}
	flowsJSON struct {
		Open  string     `json:"open"`
		Gates []string   `json:"gates"`
		Flow  orderedMap `json:"m3/h"`
	}
)

// orderedMap is a JSON object whose keys keep their order.
type orderedMap struct {
	keys   []string
	values []float64
}

// MarshalJSON writes the keys in order.
func (m orderedMap) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	b.WriteByte('{')
	for i, k := range m.keys {
		if i > 0 {
			b.WriteByte(',')
		}
		name, err := json.Marshal(k)
		if err != nil {
			return nil, err
		}
		b.Write(name)
		b.WriteString(":" + strconv.FormatFloat(m.values[i], 'f', 1, 64))
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}

// TruthJSON writes the truth in the units of the case's files.
func TruthJSON(t *trial.Truth, name, system string) ([]byte, error) {
	out := truthJSON{Case: name, Bank: "trial", System: system, Units: t.Units.String(), Ports: t.Ports, Gates: orEmpty(t.Gates), Style: t.Style,
		Readings: t.Readings, Baseline: t.Baseline, Sound: t.Sound, Faults: []faultJSON{}, Flows: []flowsJSON{}}
	for i := range t.Faults {
		out.Faults = append(out.Faults, jsonOf(&t.Faults[i], t.Units))
	}
	for _, f := range t.Flows {
		m := orderedMap{keys: f.Ports}
		for _, q := range f.Flow {
			m.values = append(m.values, q*3600)
		}
		out.Flows = append(out.Flows, flowsJSON{f.Open.String(), orEmpty(f.Gates), m})
	}
	data, err := json.MarshalIndent(out, "", " ")
	return append(data, '\n'), err
}

func orEmpty(s []string) []string {
	if s == nil {
		return []string{}
	}
	return s
}

func jsonOf(f *trial.Fault, u units.System) faultJSON {
	out := faultJSON{Kind: f.Kind, Where: f.Where, Ducts: f.Ducts, Port: f.Port, FlowShare: sig(f.FlowShare, 3), Observable: f.Observable, How: f.How}
	v, unit := severityIn(f, u)
	out.Severity.Unit = unit
	if !math.IsNaN(v) {
		v = sig(v, 5)
		out.Severity.Value = &v
	}
	if f.Kind != trial.Undersized {
		s, m := sig(f.SNR, 4), sig(f.MaxShift, 4)
		out.SNR, out.MaxShift = &s, &m
	}
	if f.Along >= 0 {
		a := f.Along
		out.Along = &a
	}
	return out
}

// severityIn gives a severity as the contract writes it.
func severityIn(f *trial.Fault, u units.System) (float64, string) {
	d := units.Share
	switch f.Kind {
	case trial.Leak, trial.GateLeaking:
		d = units.Area
	case trial.Undersized:
		d = units.Diameter
	case trial.FilterLoaded:
		return f.Severity, "x"
	case trial.ReadingWrong:
		v, err := units.Convert(f.Severity, f.Quantity.Dimension(), f.Unit)
		if err != nil {
			return math.NaN(), f.Unit
		}
		return v, f.Unit
	}
	return d.FromSI(u, f.Severity), d.Symbol(u)
}

// sig rounds to significant digits.
func sig(v float64, digits int) float64 {
	x, _ := strconv.ParseFloat(strconv.FormatFloat(v, 'g', digits, 64), 64)
	return x
}
