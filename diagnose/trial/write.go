package trial

import (
	"bytes"
	"encoding/csv"
	"math"
	"strconv"
	"strings"

	"lostair/diagnose/duct"
	"lostair/readings"
	"lostair/readings/units"
)

// unitOf is the unit in which a row's value is written.
func (r *row) unitOf(s *duct.System) string {
	if r.unit != "" {
		return r.unit
	}
	return r.quantity.Dimension().Symbol(s.Units)
}

// put writes an SI value down as a person does, rounded to what the
// instrument's scale lets them read.
func (r *row) put(s *duct.System, si float64) {
	unit := r.unitOf(s)
	r.text = written(mustConvert(si, r.quantity, unit), r.step(unit))
}

// step is the rounding in the row's unit: 1, 2 or 5 times a power of ten.
func (r *row) step(unit string) float64 {
	si := r.meter.step
	if r.quantity == units.FlowRate {
		si = 1.0 / 3600
	}
	st := mustConvert(si, r.quantity, unit)
	e := math.Pow(10, math.Floor(math.Log10(st)+1e-9))
	for _, k := range []float64{5, 2} {
		if st >= k*e*0.99 {
			return k * e
		}
	}
	return e
}

func mustConvert(si float64, q units.Quantity, unit string) float64 {
	v, err := units.Convert(si, q.Dimension(), unit)
	if err != nil {
		panic("trial: " + err.Error())
	}
	return v
}

// written is v rounded to a step, without an exponent.
func written(v, step float64) string {
	decimals := max(0, -int(math.Floor(math.Log10(step)+1e-9)))
	t := strconv.FormatFloat(round(v, step), 'f', decimals, 64)
	if strings.Trim(t, "-0.") == "" {
		return strings.TrimPrefix(t, "-")
	}
	return t
}

// value is what the row says, SI.
func (r *row) value(s *duct.System) float64 {
	v, err := units.ParseIn(r.text, r.quantity.Dimension(), r.unitOf(s))
	if err != nil {
		panic("trial: " + err.Error())
	}
	return v.SI
}

// toCSV writes rows as a readings file with the columns that they need.
func toCSV(rows []row, date string) []byte {
	type column struct {
		name string
		get  func(*row) string
	}
	position := func(r *row) string {
		if r.position == 0 {
			return ""
		}
		return strconv.Itoa(r.position)
	}
	all := []column{
		{"date", func(*row) string { return date }},
		{"open", func(r *row) string { return r.open.String() }},
		{"point", func(r *row) string { return r.point }},
		{"quantity", func(r *row) string { return r.quantity.String() }},
		{"value", func(r *row) string { return r.text }},
		{"unit", func(r *row) string { return r.unit }},
		{"instrument", func(r *row) string { return r.meter.id }},
		{"hose_off", func(r *row) string { return strings.Join(r.hoseOff, "+") }},
		{"position", position},
		{"note", func(r *row) string { return r.note }},
	}
	var used []column
	for i, c := range all {
		for k := range rows {
			if i < 5 || c.get(&rows[k]) != "" {
				used = append(used, c)
				break
			}
		}
	}
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	line := make([]string, len(used))
	for i, c := range used {
		line[i] = c.name
	}
	_ = w.Write(line) // a buffer takes all
	for k := range rows {
		for i, c := range used {
			line[i] = c.get(&rows[k])
		}
		_ = w.Write(line)
	}
	w.Flush()
	return b.Bytes()
}

// load reads a survey back as a user's would be.
func load(data []byte, file string, u units.System) *readings.Survey {
	s, list := readings.Load(bytes.NewReader(data), file, u)
	if s == nil {
		panic("trial: " + list.Error())
	}
	return s
}
