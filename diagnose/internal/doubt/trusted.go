package doubt

import (
	"fmt"
	"math"

	"lostair/diagnose/airflow"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/observe"
	"lostair/readings"
	"lostair/readings/problem"
	"lostair/readings/units"
)

// misreadRest is how near their page all other readings must lie, as a share,
// for a column to be called misread.
const misreadRest = 0.3

// BindTrusted binds a survey whose word is taken where no other explanation is
// looked for: a baseline, a history, a repair, an acceptance. A column that is
// plainly in another unit, or has the wrong sign, is an error there.
func BindTrusted(m *airflow.Model, s *readings.Survey) (*observe.Bound, problem.List) {
	b, bad := observe.Bind(m, s)
	if bad.Err() != nil {
		return b, bad
	}
	return b, append(bad, misreadColumns(b, m)...)
}

// misreadColumns lists the columns that are misread by all appearance: they lie off
// the page by a factor that a unit or a sign explains, and the rest does not.
func misreadColumns(b *observe.Bound, m *airflow.Model) problem.List {
	h := paged(b, m)
	if h == nil {
		return nil
	}
	order, rows := columns(b)
	middle := map[column]float64{}
	for _, c := range order {
		middle[c] = middleOf(b.Observation, h, rows[c])
	}
	var out problem.List
	for _, c := range order {
		at := middle[c]
		if at == 0 || math.Abs(at-1) < misreadNear || ofTheFan(m, c.dim, at) {
			continue
		}
		for _, a := range c.slips(at) {
			if a.loose || math.Abs(a.Factor*at-1) >= misreadNear || c.unit != "" && !restFits(c, order, middle) {
				continue
			}
			line := b.Survey.Rows[b.Observation[rows[c][0]].Rows[0]].Line
			out = append(out, problem.Problem{File: b.Survey.File, Line: line, What: fmt.Sprintf("%s is about %.3g times what the system shows, here and in the rows like it", c, at), Do: a.do})
			break
		}
	}
	return out
}

// misreadFan is by how many sigmas of the guess of a fan its readings may lie off the page.
const misreadFan = 2.5

// ofTheFan says whether the fan may be so many times as strong as the page takes it for,
// which has no curve of it: then nothing need be wrong with what was read.
func ofTheFan(m *airflow.Model, d units.Dimension, at float64) bool {
	guess := asbuilt.FanlessSpreads[m.Sys.Collector.FanKnown()]
	sd := guess.Air
	if d == units.Pressure {
		sd = guess.Suction
	}
	return at > 0 && math.Abs(math.Log(at)) < misreadFan*sd
}

// restFits says whether some column of another dimension is about what the
// page says: a weak fan would move both.
func restFits(c column, order []column, middle map[column]float64) bool {
	for _, o := range order {
		if o.dim != c.dim && o.unit != "" && math.Abs(middle[o]-1) < misreadRest {
			return true
		}
	}
	return false
}

// paged is what the system shows by its page; nil if it can't be solved.
func paged(b *observe.Bound, m *airflow.Model) []float64 {
	c, st := m.Coefs(), m.NewState()
	h := make([]float64, len(b.Observation))
	for k, list := range b.ByConfig() {
		if len(list) == 0 {
			continue
		}
		if st.Solve(&c, b.Configs[k].Config) != nil {
			return nil
		}
		for _, i := range list {
			h[i] = st.Value(b.Observation[i].Probe)
		}
	}
	return h
}

// String names a column in a message.
func (c column) String() string {
	if c.unit == "" {
		return c.sign.String()
	}
	return fmt.Sprintf("%s in %s", c.dim, c.unit)
}
