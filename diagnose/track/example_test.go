package track_test

import (
	"context"
	"fmt"
	"log"

	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/track"
	"lostair/readings"
)

// One shop over three surveys: what broke, and what was mended.
func Example() {
	sys, list := systemfile.LoadFile("../../testdata/toy/shop.yaml")
	if err := list.Err(); err != nil {
		log.Fatal(err)
	}
	sound, list := readings.LoadFile("../../testdata/toy/sound.csv", sys.Units)
	if err := list.Err(); err != nil {
		log.Fatal(err)
	}
	weak, list := readings.LoadFile("../../testdata/toy/weak.csv", sys.Units)
	if err := list.Err(); err != nil {
		log.Fatal(err)
	}
	mended, list := readings.LoadFile("../../testdata/toy/mended.csv", sys.Units)
	if err := list.Err(); err != nil {
		log.Fatal(err)
	}
	h, err := track.Follow(context.Background(), sys, []*readings.Survey{sound, weak, mended}, track.Options{Reference: 1, Full: -1})
	if err != nil {
		log.Fatal(err)
	}
	for _, e := range h.Episodes {
		fmt.Printf("%s at %s, or what looks the same: %.2f\n", e.Kind, e.Where, e.Together)
		fmt.Println("gone again:", e.To != nil)
	}
	// Output:
	// gate-restricted at lathe, or what looks the same: 1.00
	// gone again: true
}
