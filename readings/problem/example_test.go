package problem_test

import (
	"fmt"

	"lostair/readings/problem"
)

// All that is wrong is gathered, and told in the order of the file.
func Example() {
	var list problem.List
	list = append(list,
		problem.Problem{File: "shop.yaml", Line: 9, Column: 5, What: `there is no duct "mian"`, Do: "did you mean main?"},
		problem.Problem{File: "shop.yaml", Line: 3, Column: 1, What: "the length is negative"})
	list.Sort()
	fmt.Println(list.Err())
	near, ok := problem.Nearest("mian", []string{"main", "lathe-drop"})
	fmt.Println(near, ok)
	// Output:
	// shop.yaml:3:1: the length is negative
	// shop.yaml:9:5: there is no duct "mian"; did you mean main?
	// main true
}
