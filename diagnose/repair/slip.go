package repair

import (
	"math"
	"slices"
	"strings"

	"lostair/diagnose/airflow"
	"lostair/diagnose/internal/search"
	"lostair/readings"
	"lostair/readings/units"
)

// Slip is that all values of a kind in one of the surveys are in another unit than
// is written there. The comparison takes them to be in that unit.
type Slip struct {
	File      string
	Dimension units.Dimension
	Says      string // the unit as written
	Really    string // the unit that would fit

	of *readings.Survey
}

// When values are taken to be in another unit. Own choice.
const (
	slipLeast  = 5    // readings that both surveys have
	slipNear   = 0.15 // how far each may lie from that unit, logarithm
	slipFactor = 1.6  // units nearer than that aren't told apart from a change of the system
)

// unitSlip finds values of one kind that differ between two surveys by what a unit
// does, all alike. Where velocities go with the pressures the air has changed, and
// no unit. Nil: there is none.
func unitSlip(m *airflow.Model, first, second *readings.Survey) *Slip {
	speed := ratios(first, second, units.Velocity)
	for _, d := range []units.Dimension{units.Pressure, units.Velocity, units.Flow} {
		list := ratios(first, second, d)
		if len(list) < slipLeast {
			continue
		}
		slices.Sort(list)
		mid := list[len(list)/2]
		if math.Abs(mid) < math.Log(slipFactor) || far(list, mid) > len(list)/10 {
			continue
		}
		if d == units.Pressure && len(speed) > 2 && far(speed, mid/2) <= len(speed)/3 {
			continue
		}
		wrong, by := second, mid
		if offPage(m, first, d) > offPage(m, second, d) {
			wrong, by = first, -mid
		}
		for _, says := range writtenIn(wrong, d, m.Sys.Units) {
			for _, u := range search.UnitSlips[d] {
				if f := math.Log(units.Ratio(says, u, d)); u != says && math.Abs(f-by) < slipNear {
					return &Slip{wrong.File, d, says, u, wrong}
				}
			}
		}
	}
	return nil
}

// ratios are the logarithms of second over first of what both read.
func ratios(first, second *readings.Survey, d units.Dimension) []float64 {
	was := map[string]float64{}
	for i := range first.Readings {
		was[keyOf(&first.Readings[i])] = first.Readings[i].Value
	}
	var out []float64
	for i := range second.Readings {
		r := &second.Readings[i]
		if v := was[keyOf(r)]; r.Quantity.Dimension() == d && v*r.Value > 0 {
			out = append(out, math.Log(r.Value/v))
		}
	}
	return out
}

func keyOf(r *readings.Reading) string {
	return strings.Join([]string{r.Open.String(), strings.Join(r.HoseOff, "+"), r.Point, r.Quantity.String()}, "\x00")
}

// far counts what lies farther from a middle than a slip of the unit leaves.
func far(list []float64, mid float64) int {
	n := 0
	for _, v := range list {
		if math.Abs(v-mid) > slipNear {
			n++
		}
	}
	return n
}

// offPage is how far a survey's values of a kind lie off the page, the middle one,
// logarithm.
func offPage(m *airflow.Model, s *readings.Survey, d units.Dimension) float64 {
	var out []float64
	c, st := m.Coefs(), m.NewState()
	for i := range s.Readings {
		r := &s.Readings[i]
		if r.Quantity.Dimension() != d {
			continue
		}
		cfg, err := m.Configure(r.Open.All, r.Open.Gates, r.HoseOff)
		if err != nil || st.Solve(&c, cfg) != nil {
			continue
		}
		p, err := m.ProbeAt(r.Point, r.Quantity)
		if err != nil {
			continue
		}
		if v := st.Value(p); v*r.Value > 0 {
			out = append(out, math.Abs(math.Log(r.Value/v)))
		}
	}
	if len(out) == 0 {
		return 0
	}
	slices.Sort(out)
	return out[len(out)/2]
}

// writtenIn are the units in which a survey gives values of a kind.
func writtenIn(s *readings.Survey, d units.Dimension, sys units.System) []string {
	var out []string
	for i := range s.Rows {
		r := &s.Rows[i]
		if r.Quantity.Dimension() != d {
			continue
		}
		u := r.Unit
		if u == "" {
			u = d.Symbol(sys)
		}
		if !slices.Contains(out, u) {
			out = append(out, u)
		}
	}
	if len(out) > 1 {
		return nil // two units: a slip of both at once is no slip
	}
	return out
}

// mended is the survey with its values in the unit that fits.
func (x *Slip) mended(s *readings.Survey) *readings.Survey {
	if x == nil || s != x.of {
		return s
	}
	k := units.Ratio(x.Really, x.Says, x.Dimension)
	now := *s
	now.Rows, now.Readings = slices.Clone(s.Rows), slices.Clone(s.Readings)
	for i := range now.Rows {
		if now.Rows[i].Quantity.Dimension() == x.Dimension {
			now.Rows[i].Value *= k
		}
	}
	for i := range now.Readings {
		if r := &now.Readings[i]; r.Quantity.Dimension() == x.Dimension {
			r.Value, r.SD = r.Value*k, r.SD*k
		}
	}
	return &now
}
