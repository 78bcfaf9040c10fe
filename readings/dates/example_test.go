package dates_test

import (
	"fmt"

	"lostair/readings/dates"
)

// One date of a file tells in which order the others stand.
func ExampleOrderOf() {
	file := []string{"3/7/2026", "3/27/2026", "8 Mar 2026"}
	order := dates.OrderOf(file)
	fmt.Println(order)
	for _, text := range file {
		fmt.Println(dates.Parse(text, order))
	}
	// Output:
	// mdy
	// 2026-03-07
	// 2026-03-27
	// 2026-03-08
}
