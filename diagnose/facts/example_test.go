package facts_test

import (
	"fmt"
	"strings"

	"lostair/diagnose/facts"
)

// Every number has a source, and says whether that source was read.
func Example() {
	for _, f := range facts.Facts() {
		if f.Group == "air" && f.Formula == "" && strings.Contains(f.Name, "standard") {
			fmt.Printf("%s: %g %s (%s)\n", f.Name, f.Value, f.Unit, f.Status)
		}
	}
	// Output:
	// density of standard air: 1.204 kg/m3 (fixed by the file formats)
	// temperature of standard air: 293.15 K (fixed by the file formats)
}
