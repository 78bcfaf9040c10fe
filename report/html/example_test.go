package html_test

import (
	"context"
	"fmt"
	"log"
	"strings"

	"lostair/diagnose"
	"lostair/diagnose/duct/systemfile"
	"lostair/readings"
	"lostair/report/html"
)

// A diagnosis as one page that needs nothing beside it.
func Example() {
	sys, list := systemfile.LoadFile("../../testdata/toy/shop.yaml")
	if err := list.Err(); err != nil {
		log.Fatal(err)
	}
	survey, list := readings.LoadFile("../../testdata/toy/weak.csv", sys.Units)
	if err := list.Err(); err != nil {
		log.Fatal(err)
	}
	d, err := diagnose.Diagnose(context.Background(), sys, survey, diagnose.Options{})
	if err != nil {
		log.Fatal(err)
	}
	var page strings.Builder
	if err := html.Write(&page, d, sys.Units); err != nil {
		log.Fatal(err)
	}
	fmt.Println(strings.HasPrefix(page.String(), "<!DOCTYPE html>"), strings.Contains(page.String(), "<svg"))
	// Output:
	// true true
}
