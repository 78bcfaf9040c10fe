package tracked_test

import (
	"context"
	"fmt"
	"log"

	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/track"
	"lostair/readings"
	"lostair/report/tracked"
)

// What matters of a history.
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
	for _, s := range tracked.From(h, sys.Units).Summary {
		fmt.Println(s)
	}
	// Output:
	// Gate lathe not fully open or something that looks the same: almost certain, first seen on 2026-03-02, gone by 2026-03-09. By the readings of 2026-03-02 the gate is 41.5 % open (9 in 10 sure of 31.7 to 52.0 %).
}
