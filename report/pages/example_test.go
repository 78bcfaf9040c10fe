package pages_test

import (
	"fmt"
	"log"
	"strings"

	"lostair/report/pages"
)

// Text as a page. What looks like markup stays text.
func Example() {
	var page strings.Builder
	if err := pages.Plain(&page, "Two machines", "lathe < bench"); err != nil {
		log.Fatal(err)
	}
	fmt.Println(strings.Contains(page.String(), "lathe &lt; bench"))
	// Output:
	// true
}
