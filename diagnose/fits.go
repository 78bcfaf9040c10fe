package diagnose

import (
	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/internal/observe"
	"lostair/readings"
	"lostair/readings/problem"
)

// Fits reports whatever in surveys names something that the system has not, or
// reads a quantity where it can't be read, all at once in file order, rows that are
// broken otherwise included; and, even without surveys, why no model can be made
// of the system.
func Fits(sys *duct.System, surveys ...*readings.Survey) problem.List {
	m, err := airflow.New(sys, airflow.Options{})
	if err != nil {
		return problem.List{{File: sys.File, What: err.Error()}}
	}
	var bad problem.List
	for _, v := range surveys {
		_, more := observe.Bind(m, v)
		more = append(more, observe.Unbound(m, v)...)
		if swapped := observe.OpenAndPointSwapped(m, v); swapped != nil {
			more = problem.List{*swapped}.InSheet(v.File, v.Sheet)
		}
		more.Sort()
		bad = append(bad, more...)
	}
	return bad
}
