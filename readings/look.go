package readings

import (
	"strings"

	"lostair/readings/csvtext"
)

// Look is what was looked at, felt or listened for, by the names of the
// readings file; "" for a reading. Its answer is yes or no, or a number.
type Look string

// The looks of the readings file.
const (
	OpensFully        Look = "opens_fully"          // at a gate: it opens to its stop
	ShutsFully        Look = "shuts_fully"          // at a gate: it shuts to its stop
	Clings            Look = "clings"               // at a gate or port: paper is drawn to it with its gate shut
	Hisses            Look = "hisses"               // at a duct or the bin, all gates shut
	ClearInside       Look = "clear_inside"         // of a duct or port, fan locked off
	Sealed            Look = "sealed"               // of the bin
	TurnsRightWay     Look = "turns_right_way"      // of the fan
	Clean             Look = "clean"                // of the filter
	RisesWithDoorOpen Look = "rises_with_door_open" // of the suction at the collector's inlet
	InsideDiameter    Look = "inside_diameter"      // of a duct, measured across; a number
)

// Places says what a look may be taken at.
type Places uint8

// The places of looks; one look may have several.
const (
	AtGate Places = 1 << iota
	AtPort
	AtDuct
	AtBin
	AtFan
	AtFilter
	AtInlet
)

// lookRows are the looks in the order of the format.
var lookRows = [...]struct {
	look Look
	at   Places
}{
	{OpensFully, AtGate},
	{ShutsFully, AtGate},
	{Clings, AtGate | AtPort},
	{Hisses, AtDuct | AtBin},
	{ClearInside, AtDuct | AtPort},
	{Sealed, AtBin},
	{TurnsRightWay, AtFan},
	{Clean, AtFilter},
	{RisesWithDoorOpen, AtInlet},
	{InsideDiameter, AtDuct},
}

// At says what a look may be taken at.
func (k Look) At() Places {
	for _, r := range lookRows {
		if r.look == k {
			return r.at
		}
	}
	return 0
}

// Number is whether the answer is a number, not yes or no.
func (k Look) Number() bool { return k == InsideDiameter }

// LookNames lists the looks in the order of the format.
func LookNames() []string {
	var out []string
	for _, r := range lookRows {
		out = append(out, string(r.look))
	}
	return out
}

// LookNamed is the look that a quantity column means, in any case, with blanks
// or hyphens for the underscore.
func LookNamed(text string) (Look, bool) {
	k := Look(csvtext.FoldName(text))
	return k, k.At() != 0
}

// words name the places, for a message.
func (p Places) words() string {
	var out []string
	for _, x := range []struct {
		at   Places
		word string
	}{{AtGate, "a gate"}, {AtPort, "a port"}, {AtDuct, "a duct"}, {AtBin, Bin}, {AtFan, FanPoint}, {AtFilter, Filter}, {AtInlet, CollectorInlet}} {
		if p&x.at != 0 {
			out = append(out, x.word)
		}
	}
	return strings.Join(out, " or ")
}

// String names the places, like "a duct or bin".
func (p Places) String() string { return p.words() }

// yesOrNo are the answers to a look, in small letters.
var yesOrNo = map[string]float64{"yes": 1, "y": 1, "true": 1, "no": 0, "n": 0, "false": 0}

func saysYesOrNo(text string) (v float64, ok bool) {
	v, ok = yesOrNo[strings.ToLower(strings.TrimSpace(text))]
	return v, ok
}
