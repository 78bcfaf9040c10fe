package survey_test

import (
	"fmt"

	"lostair/diagnose/trial/plant"
	"lostair/diagnose/trial/survey"
	"lostair/readings/units"
)

// A plan of three readings of a plant of four ports, and a value put in the first.
func ExamplePlan() {
	s := plant.New(7, 4, units.Metric)
	rows := survey.Plan(s, survey.Normal, 7, 3)
	rows[0].Put(s, -1234.56)
	fmt.Println(len(rows), rows[0].Point, rows[0].Quantity, rows[0].Text, rows[0].UnitOf(s))
	// Output: 3 P2 suction -1235 Pa
}
