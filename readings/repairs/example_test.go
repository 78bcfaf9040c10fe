package repairs_test

import (
	"fmt"
	"strings"

	"lostair/readings/repairs"
)

// A log begins with its first row, and is read back.
func ExampleAppend() {
	log, err := repairs.Append(nil, repairs.Row{Date: "2026-05-01", Kind: "leak", Where: "main", Action: "sealed"})
	fmt.Print(string(log), err, "\n")
	list, problems := repairs.Read(strings.NewReader(string(log)), repairs.File)
	fmt.Println(list[0].Action, list[0].Where, problems.Err())
	// Output:
	// date,kind,where,action,note
	// 2026-05-01,leak,main,sealed,
	// <nil>
	// sealed main <nil>
}
