package diagnose

import (
	"fmt"
	"math"

	"lostair/diagnose/airflow"
	"lostair/readings"
	"lostair/readings/problem"
)

// misreadRest is how near their page all other readings must lie, as a share,
// for a column to be called misread.
const misreadRest = 0.3

// bindTrusted binds a survey whose word is taken where no other explanation is
// looked for: a baseline, a history, a repair, an acceptance. A column that is
// plainly in another unit, or has the wrong sign, is an error there.
func bindTrusted(m *airflow.Model, s *readings.Survey) (*bound, problem.List) {
	b, bad := bind(m, s)
	if bad.Err() != nil {
		return b, bad
	}
	return b, append(bad, b.misread(m)...)
}

// misread lists the columns that are misread by all appearance: they lie off
// the page by a factor that a unit or a sign explains, and the rest does not.
func (b *bound) misread(m *airflow.Model) problem.List {
	h := b.paged(m)
	if h == nil {
		return nil
	}
	order, rows := b.columns()
	middle := map[column]float64{}
	for _, c := range order {
		middle[c] = middleOf(b.obs, h, rows[c])
	}
	var out problem.List
	for _, c := range order {
		at := middle[c]
		if at == 0 || math.Abs(at-1) < misreadNear {
			continue
		}
		for _, a := range c.slips(at) {
			if a.loose || math.Abs(a.factor*at-1) >= misreadNear || c.unit != "" && !restFits(c, order, middle) {
				continue
			}
			line := b.survey.Rows[b.obs[rows[c][0]].rows[0]].Line
			out = append(out, problem.Problem{File: b.survey.File, Line: line, What: fmt.Sprintf("%s is about %.3g times what the system shows, here and in the rows like it", c, at), Do: a.do})
			break
		}
	}
	return out
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
func (b *bound) paged(m *airflow.Model) []float64 {
	c, st := m.Coefs(), m.NewState()
	h := make([]float64, len(b.obs))
	for k, list := range b.byConfig() {
		if len(list) == 0 {
			continue
		}
		if st.Solve(&c, b.configs[k].Config) != nil {
			return nil
		}
		for _, i := range list {
			h[i] = st.Value(b.obs[i].probe)
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
