package survey

import (
	"bytes"
	"encoding/csv"
	"math"
	"strconv"
	"strings"

	"lostair/diagnose/duct"
	"lostair/diagnose/trial/plant"
	"lostair/readings"
	"lostair/readings/units"
)

// UnitOf is the unit in which a row's value is written.
func (r *Row) UnitOf(s *duct.System) string {
	if r.unit != "" {
		return r.unit
	}
	return r.Quantity.Dimension().Symbol(s.Units)
}

// Put writes an SI value down as a person does, rounded to what the
// instrument's scale lets them read.
func (r *Row) Put(s *duct.System, si float64) {
	unit := r.UnitOf(s)
	r.Text = Written(MustConvert(si, r.Quantity, unit), r.Step(unit))
}

// Step is the rounding in the row's unit: 1, 2 or 5 times a power of ten.
func (r *Row) Step(unit string) float64 {
	si := r.Meter.Step
	if r.Quantity == units.FlowRate {
		si = 1.0 / 3600
	}
	st := MustConvert(si, r.Quantity, unit)
	e := math.Pow(10, math.Floor(math.Log10(st)+1e-9))
	for _, k := range []float64{5, 2} {
		if st >= k*e*0.99 {
			return k * e
		}
	}
	return e
}

// MustConvert is an SI value in a unit of its dimension.
func MustConvert(si float64, q units.Quantity, unit string) float64 {
	v, err := units.Convert(si, q.Dimension(), unit)
	if err != nil {
		panic("trial: " + err.Error())
	}
	return v
}

// Written is v rounded to a step, without an exponent.
func Written(v, step float64) string {
	decimals := max(0, -int(math.Floor(math.Log10(step)+1e-9)))
	t := strconv.FormatFloat(plant.Round(v, step), 'f', decimals, 64)
	if strings.Trim(t, "-0.") == "" {
		return strings.TrimPrefix(t, "-")
	}
	return t
}

// Value is what the row says, SI.
func (r *Row) Value(s *duct.System) float64 {
	v, err := units.ParseIn(r.Text, r.Quantity.Dimension(), r.UnitOf(s))
	if err != nil {
		panic("trial: " + err.Error())
	}
	return v.SI
}

// CSV writes rows as a readings file with the columns that they need.
func CSV(rows []Row, date string) []byte {
	type column struct {
		name string
		get  func(*Row) string
	}
	position := func(r *Row) string {
		if r.Position == 0 {
			return ""
		}
		return strconv.Itoa(r.Position)
	}
	all := []column{
		{"date", func(*Row) string { return date }},
		{"open", func(r *Row) string { return r.Open.String() }},
		{"point", func(r *Row) string { return r.Point }},
		{"quantity", func(r *Row) string { return r.Quantity.String() }},
		{"value", func(r *Row) string { return r.Text }},
		{"unit", func(r *Row) string { return r.unit }},
		{"instrument", func(r *Row) string { return r.Meter.ID }},
		{"hose_off", func(r *Row) string { return strings.Join(r.HoseOff, "+") }},
		{"position", position},
		{"note", func(r *Row) string { return r.Note }},
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

// Load reads a survey back as a user's would be.
func Load(data []byte, file string, u units.System) *readings.Survey {
	s, list := readings.Load(bytes.NewReader(data), file, u)
	if s == nil {
		panic("trial: " + list.Error())
	}
	return s
}
