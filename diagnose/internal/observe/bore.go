package observe

import (
	"fmt"
	"math"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/readings"
	"lostair/readings/problem"
	"lostair/readings/units"
)

// Bore is how wide a duct measures inside, beside what its page says, m.
type Bore struct {
	Duct     int
	Page, Is float64
}

// BoreSame is a share that a bore may measure off its page and be as written: pipe is
// not quite round, and a size is not quite its name. BoreFar is a factor beyond which
// it was not measured across. Common practice, no source.
const (
	BoreSame = 0.04
	BoreFar  = 2.5
)

// AsWritten is whether a duct measures what its page says.
func (b Bore) AsWritten() bool { return math.Abs(b.Is/b.Page-1) <= BoreSame }

// far is whether it can't be meant: binding the survey says so.
func (b Bore) far() bool { return b.Is > BoreFar*b.Page || b.Is*BoreFar < b.Page }

// Bores are the ducts that were measured across, in the order of the file. Of several
// measures in one survey it is their mean, and a later survey holds over an earlier.
func Bores(sys *duct.System, surveys ...*readings.Survey) []Bore {
	found := make([]float64, len(sys.Ducts))
	for _, s := range surveys {
		sum, n := make([]float64, len(sys.Ducts)), make([]float64, len(sys.Ducts))
		for i := range s.Looks {
			r := &s.Looks[i]
			d, ok := sys.DuctNamed(r.Point)
			if !ok || r.Look != readings.InsideDiameter || sys.Ducts[d].Width > 0 || (Bore{d, sys.Ducts[d].Diameter, r.Value}).far() {
				continue
			}
			sum[d], n[d] = sum[d]+r.Value, n[d]+1
		}
		for d := range sum {
			if n[d] > 0 {
				found[d] = sum[d] / n[d]
			}
		}
	}
	var out []Bore
	for d, v := range found {
		if v > 0 {
			out = append(out, Bore{d, sys.Ducts[d].Diameter, v})
		}
	}
	return out
}

// AsMeasured is the system with the ducts as wide as they measure, and which of them
// are not as their page says; the same system if there is none.
func AsMeasured(sys *duct.System, surveys ...*readings.Survey) (*duct.System, []Bore) {
	var other []Bore
	out := sys
	for _, b := range Bores(sys, surveys...) {
		if b.AsWritten() {
			continue
		}
		if len(other) == 0 {
			out = sys.Copy()
		}
		out.Ducts[b.Duct].MakeRound(b.Is)
		other = append(other, b)
	}
	return out, other
}

// boreProblem is what is wrong with a measured bore; false: nothing is.
func boreProblem(m *airflow.Model, file string, row *readings.Row) (problem.Problem, bool) {
	p := problem.Problem{File: file, Line: row.Line, Column: row.Columns.Value}
	i, ok := m.Sys.DuctNamed(row.Point)
	if !ok {
		return p, false // that is said of its point
	}
	d, u := &m.Sys.Ducts[i], m.Sys.Units
	switch {
	case d.Width > 0:
		p.Column = row.Columns.Point
		p.What = fmt.Sprintf("%s is rectangular, %s, and has no inside_diameter", d.ID, duct.Sides(d.Width, d.Height, u))
		p.Do = "measure both its sides, and correct width and height in the system file"
	case Bore{i, d.Diameter, row.Value}.far():
		p.What = fmt.Sprintf("%s can hardly be %s wide inside: the system file says %s", d.ID, units.Format(row.Value, units.Diameter, u), units.Format(d.Diameter, units.Diameter, u))
		p.Do = "check the unit, and that it was measured across and not around; if it is so, correct the system file"
	default:
		return p, false
	}
	return p, true
}

// BoreDoubts say which ducts are taken as they measure.
func BoreDoubts(sys *duct.System, bores []Bore) []fault.Doubt {
	var out []fault.Doubt
	for _, b := range bores {
		out = append(out, fault.Doubt{Kind: fault.BoreOther, Where: sys.Ducts[b.Duct].ID})
	}
	return out
}
