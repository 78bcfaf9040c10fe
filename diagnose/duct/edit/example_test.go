package edit_test

import (
	"fmt"
	"log"

	"lostair/diagnose/duct/edit"
)

// A change of one value leaves the rest of the file as its owner wrote it.
func Example() {
	file := `units: metric # as on the tape
collector: {inlet: 150, fan: {curve: [[0, 2200], [1800, 0]]}}
ducts:
  - {id: main, into: collector, diameter: 150, length: 4, material: spiral} # to the wall
`
	f, err := edit.Open([]byte(file), "shop.yaml")
	if err != nil {
		log.Fatal(err)
	}
	f, err = f.Apply(edit.Set(edit.At("ducts", 0, "length"), "4.5"))
	if err != nil {
		log.Fatal(err)
	}
	fmt.Print(string(f.Bytes()))
	// Output:
	// units: metric # as on the tape
	// collector: {inlet: 150, fan: {curve: [[0, 2200], [1800, 0]]}}
	// ducts:
	//   - {id: main, into: collector, diameter: 150, length: 4.5, material: spiral} # to the wall
}
