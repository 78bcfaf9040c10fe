package observe

import (
	"fmt"

	"lostair/diagnose/airflow"
	"lostair/readings"
	"lostair/readings/problem"
)

// swappedLeast is how many rows must say that two columns have changed places.
const swappedLeast = 2

// OpenAndPointSwapped is the problem of a survey that has points where the open gates
// stand and gates where points do, in most of its rows; nil if it has not. No row
// alone tells it, since a port and its gate may share a name.
func OpenAndPointSwapped(m *airflow.Model, s *readings.Survey) *problem.Problem {
	n, first := 0, 0
	all := append(append([]readings.Row{}, s.Rows...), s.Broken...)
	for i := range all {
		if swappedRow(m, &all[i]) {
			if n++; first == 0 || all[i].Line < first {
				first = all[i].Line
			}
		}
	}
	if n < swappedLeast || 2*n <= len(all) {
		return nil
	}
	return &problem.Problem{File: s.File, Line: first, What: fmt.Sprintf("%d rows have a point in the column open and gates in the column point", n),
		Do: "if the names open and point have changed places in the header row, change them back"}
}

// swappedRow is whether one row has each of the two in the other's place.
func swappedRow(m *airflow.Model, row *readings.Row) bool {
	if row.Open.All || len(row.Open.Gates) != 1 {
		return false
	}
	if _, gate := m.GateIndex(row.Open.Gates[0]); gate || !Known(m, row.Open.Gates[0]) {
		return false
	}
	open, err := readings.ParseOpen(row.Point)
	if err != nil {
		return false
	}
	for _, g := range open.Gates {
		if _, gate := m.GateIndex(g); !gate {
			return false
		}
	}
	return true
}
