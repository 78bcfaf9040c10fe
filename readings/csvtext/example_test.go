package csvtext_test

import (
	"fmt"

	"lostair/readings/csvtext"
)

// A row is added as the file ends its lines.
func ExampleAppend() {
	file, err := csvtext.Append([]byte("point;note\r\n"), []string{"saw", csvtext.Guard("=loud")}, ';')
	fmt.Printf("%q %v\n", file, err)
	// Output:
	// "point;note\r\nsaw;'=loud\r\n" <nil>
}
