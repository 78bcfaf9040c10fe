package layout_test

import (
	"fmt"

	"lostair/report/layout"
)

// A table as wide as a narrow terminal.
func Example() {
	t := layout.Table{
		Columns: []layout.Column{{Head: "port"}, {Head: "flow", Right: true}},
		Rows:    [][]string{{"lathe", "702"}, {"bench", "1570"}},
	}
	for _, line := range t.Lines(40) {
		fmt.Println(line)
	}
	for _, line := range layout.Hang("Do first: ", "With the fan locked off look whether the gate is open to its stop.", 40) {
		fmt.Println(line)
	}
	// Output:
	// port   flow
	// lathe   702
	// bench  1570
	// Do first: With the fan locked off look
	//           whether the gate is open to
	//           its stop.
}
