package keys_test

import (
	"fmt"

	"lostair/diagnose/duct/keys"
)

// The keys of a section, and which of them no file can do without.
func ExampleOf() {
	for _, k := range keys.Of("ducts.gate") {
		fmt.Println(k.Name, k.Needed, k.Choices)
	}
	// Output:
	// id true []
	// at false [upstream downstream]
}
