// Package duct holds a dust system as its owner describes it: the collector,
// the tree of ducts, the ports where air comes in, gates, taps, instruments.
// It knows nothing of air.
//
// Package systemfile reads and writes it; a System may as well be built in Go, and
// Finish then makes it ready. Either way the checks stand here (check*.go): what can't
// be is an error, with line and column where a file has it; gross.go asks about what can
// hardly be, and touches no answer. What a key may hold stands in package keys, and what
// hoods and walls there are in package trade.
//
// All values are SI: m, m³/s, Pa, m/s, K, kg/m³.
package duct

import (
	"lostair/diagnose/duct/keys"
	"lostair/readings/units"
)

// IntoCollector is the value of Duct.Into for a duct that flows into the collector.
const IntoCollector = -1

// Unknown is a duct's Into, a port's Duct or a port of a machine that a file names and
// that isn't there; who read the file has reported it.
const Unknown = -2

// System is one duct system. The slices are in file order.
type System struct {
	File        string // as the user named it
	Name        string
	Units       units.System
	Air         Air
	Collector   Collector
	Ducts       []Duct
	Ports       []Port
	Instruments []Instrument
	Limits      Limits
	Uncertainty Uncertainty
	Machines    []Machine // with several ports and one need
	Room        Room
	Settings    []Setting // gate settings in use; none: each gate alone

	// Order lists duct indices so that a duct comes after the one it flows into.
	Order []int

	index *index // what the lookups use; nil until Load or Finish
}

// Air is the state of the air in the room.
type Air struct {
	Standard    bool    // no air given: standard air, 1.204 kg/m³ (dry, 20 °C, sea level)
	Temperature float64 // K
	Altitude    float64 // m
	Barometer   float64 // Pa; 0: from the altitude
	Humidity    float64 // relative, 0..1
}

const (
	Cyclone Part = iota
	Fan
	Filter
)

const standardTemperature = 293.15

// StandardAir is dry, at 20 °C and sea level (1.204 kg/m³).
func StandardAir() Air { return Air{Standard: true, Temperature: standardTemperature} }

// Part is a part of the collector, in order of flow.
type Part uint8

// String is the part's name in the system file.
func (p Part) String() string { return keys.PartNames[p] }

// Collector is the cyclone with its bin, the fan and the filter.
type Collector struct {
	Inlet   float64 // diameter, m
	Curve   []CurvePoint
	Guess   *FanGuess // in place of a curve; nil: there is a curve, or nothing is known of the fan
	Rated   float64   // speed of the fan at which its curve holds, 1/s; 0: not given
	Whole   []Part    // parts that the curve or the guess includes: it is that of the collector with them
	Density float64   // at which the curve holds, kg/m³; 0: standard air
	Cyclone *Drop     // nil: none
	Filter  *Drop     // nil: none
	Bin     bool
	Order   []Part // order of flow; only the parts that exist
	Pos     keys.Pos
}

// FanGuess is what stands in place of a fan's curve: the curve's two ends, or
// the motor and the wheel.
type FanGuess struct {
	MostAir     float64 // flow at no fan static pressure, m³/s
	MostSuction float64 // fan static pressure at no flow, Pa
	Motor       float64 // W
	Wheel       float64 // diameter, m
}

// CurvePoint is a point of the fan curve.
type CurvePoint struct {
	Flow     float64 // m³/s
	Pressure float64 // fan static pressure, Pa
}

// Drop is a pressure loss given at one flow.
type Drop struct {
	Pressure float64 // Pa
	At       float64 // m³/s
	Guessed  bool    // the file says only that the part is there: see GuessedDrop
}

// Duct is one run of one diameter.
type Duct struct {
	ID        string
	Into      int     // index into System.Ducts, or IntoCollector
	Straight  bool    // enters straight
	Angle     float64 // branch angle at its downstream join, rad; 0 if Straight
	Diameter  float64 // m; of a rectangular duct that of a round one of the same area
	Width     float64 // m, of a rectangular duct; 0: it is round
	Height    float64 // m, with Width
	Length    float64 // m
	Material  string  // name from the material table, or "" if Roughness was given
	Roughness float64 // m, if given in place of a material; else 0
	// Compressed is how much shorter a hose lies than stretched out, as a share.
	Compressed float64
	Lined      bool // a hose whose wires are covered (lining: smooth)
	Fittings   []Fitting
	Gate       string // id of its blast gate, or ""
	GateDown   bool   // the gate sits at the downstream end, not at the upstream one
	Taps       []Tap  // by distance from the upstream end
	Abrupt     bool   // a change of section at its downstream end is abrupt (taper: abrupt)
	Children   []int  // ducts that flow into this one, in file order
	Port       int    // index into System.Ports of the port at its upstream end, or -1
	Pos        keys.Pos
}

// Fitting is a bend or a free loss along a duct.
type Fitting struct {
	Elbow  bool
	Angle  float64 // of an elbow, rad
	Radius float64 // of an elbow, R/D
	Count  int     // 1 or more
	Loss   float64 // K on the duct's velocity pressure, if not an elbow
	What   string
}

// Tap is a static-pressure tap.
type Tap struct {
	ID       string
	Distance float64 // from the duct's upstream end, m
	Pos      keys.Pos
}

// Port is where air comes in.
type Port struct {
	ID   string
	Duct int     // index into System.Ducts
	Hood string  // name from the hood table, or "" if a number was given
	Loss float64 // entry loss on velocity pressure, if Hood is ""
	// Taper is the included angle of a tapered hood, rad; 0: not given.
	Taper float64
	Need  float64 // m³/s; 0: none stated
	Pos   keys.Pos

	Opening *Opening // the machine's own port, where it differs from the duct; nil: it doesn't
	Machine string   // what stands there
	Shares  bool     // Need is its share of what its machine needs
}

// Opening is the inside of a machine's own port: round, with a Diameter, or
// rectangular, with Width and Height.
type Opening struct {
	Diameter, Width, Height float64 // m
}

// Machine is one that several ports serve, with one need.
type Machine struct {
	ID    string
	Ports []int   // indices into System.Ports, in the order of the file
	Need  float64 // m³/s, of all its ports together
	Pos   keys.Pos
}

// Room is how the shop gets its air.
type Room struct {
	Inlets float64 // open area, m²; 0: as much comes in as the fan takes
	// Guessed: no file has these inlets; readings are to tell how wide they are.
	Guessed bool
}

// Setting is one of the gate settings in use, as the readings file's column
// open has it.
type Setting struct {
	All   bool
	Gates []string // sorted, without duplicates; empty and not All: none
	Pos   keys.Pos
}

// Instrument is a manometer or an anemometer.
type Instrument struct {
	ID        string
	Measures  units.Dimension // units.Pressure, Velocity, Rotation, Current or Power
	OfReading float64         // 95 % limit as a share of the reading
	Floor     float64         // 95 % limit at least, Pa or m/s
	Size      float64         // diameter of a vane's head, m; 0: not given
	Pos       keys.Pos
}

// Limits is the slowest air that still carries the dust, m/s; 0: not given.
type Limits struct {
	ConveyBranch, ConveyMain float64
}

// Uncertainty is how far the as-built system may lie from the file, 1 sigma as
// a share; 0: not given, and the program's default holds.
type Uncertainty struct {
	Losses, Fan, Filter float64
}

// index answers lookups by id at once, for plants of thousands of ducts.
type index struct {
	ducts, ports map[string]int
	taps         map[string][2]int // duct, tap
}
