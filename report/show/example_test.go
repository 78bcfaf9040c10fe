package show_test

import (
	"fmt"
	"log"
	"os"

	"lostair/report/show"
)

// Numbers as people read them, and what is to be said of a place.
func Example() {
	fmt.Println(show.Listed([]string{"lathe", "bench", "saw"}))
	fmt.Println(show.Percent(0.42), show.Percent(0.996), show.Plural(3, "reading"))
	page := show.NewPage(show.Style{Plain: true, Width: 40})
	page.Heading("Do first")
	page.Para("", "Look whether the gate of the lathe opens to its stop.", "")
	if err := page.Write(os.Stdout); err != nil {
		log.Fatal(err)
	}
	// Output:
	// lathe, bench and saw
	// 42 % over 99 % 3 readings
	//
	// Do first
	// --------
	// Look whether the gate of the lathe opens
	// to its stop.
}
