package drawing_test

import (
	"fmt"
	"log"

	"lostair/diagnose/duct/systemfile"
	"lostair/report/drawing"
)

// A duct tree is laid out once, whatever is written on it.
func Example() {
	sys, list := systemfile.LoadFile("../../testdata/toy/shop.yaml")
	if err := list.Err(); err != nil {
		log.Fatal(err)
	}
	d := drawing.Layout(drawing.Sheet{Sys: sys, Wide: true})
	for _, l := range d.Labels {
		fmt.Println(l.Text)
	}
	// Output:
	// cyclone
	// bin
	// fan
	// room
	// main
	// lathe-drop
	// lathe
	// bench-drop
	// bench
}
