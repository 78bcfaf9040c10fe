package trial_test

import (
	"fmt"

	"lostair/diagnose/trial"
	"lostair/diagnose/trial/survey"
)

// A made-up case: a plant, a survey of it, and what is really wrong.
func Example() {
	c, err := trial.NewCase(7, trial.Options{Ports: 4, Style: survey.Normal, Kinds: []string{"leak"}})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(len(c.System.Ports), "ports,", len(c.Survey.Rows), "rows")
	for _, f := range c.Truth.Faults {
		if f.Main() {
			fmt.Printf("%s of %.1f cm2\n", f.Kind, f.Severity*1e4)
		}
	}
	// Output:
	// 4 ports, 12 rows
	// leak of 2.7 cm2
}
