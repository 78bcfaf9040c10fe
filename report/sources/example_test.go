package sources_test

import (
	"log"
	"os"

	"lostair/diagnose/handbook"
	"lostair/report/show"
	"lostair/report/sources"
)

// Where a number comes from.
func Example() {
	for _, f := range handbook.Facts() {
		if f.Symbol == "airflow.g" || f.Group == "air" {
			if err := sources.Text(os.Stdout, []handbook.Fact{f}, show.Style{Plain: true}); err != nil {
				log.Fatal(err)
			}
			break
		}
	}
	// Output:
	// AIR
	//
	//   file formats: standard air when none is given [fixed by the file formats]
	//     density of standard air  1.204 kg/m3
}
