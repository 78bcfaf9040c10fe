package kept_test

import (
	"fmt"
	"log"

	"lostair/report/kept"
)

// A result is packed into a line of text, and comes back whole.
func Example() {
	type flow struct {
		Port  string
		Value float64
	}
	line, err := kept.Pack(&flow{"lathe", 0.34})
	if err != nil {
		log.Fatal(err)
	}
	var back flow
	if err := kept.Unpack(line, &back); err != nil {
		log.Fatal(err)
	}
	fmt.Println(back.Port, back.Value)
	// Output:
	// lathe 0.34
}
