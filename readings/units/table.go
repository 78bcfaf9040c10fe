package units

import "math"

// unit is one row of the table: SI = (v + offset) · num / den. Two integers
// or exact decimals instead of one factor keep the conversion correctly
// rounded: 150 mm is 150/1000 m, not 150 · 0.001.
type unit struct {
	symbol   string   // as printed
	spelled  []string // other spellings, in the form that fold gives
	num, den float64
	offset   float64
}

// Degree is an angle, rad.
const Degree = math.Pi / 180

// Defining factors. Sources: NIST Special Publication 811 (2008), appendix B
// (B.8, exact factors in bold; B.6 for the inch, foot and pound); the
// pressure of a water or mercury column is the "conventional" one there:
// 1 mmH2O = 9.80665 Pa exactly, 1 mmHg = 13.5951 mmH2O.
const (
	inch  = 0.0254         // m, exact
	foot  = 0.3048         // m, exact
	foot3 = 0.028316846592 // m³ = foot³, exact
	pound = 0.45359237     // kg, exact
	mmH2O = 9.80665        // Pa, conventional
	inH2O = 249.08891      // Pa, = 25.4 mmH2O, conventional
	mmHg  = 133.322387415  // Pa, = 13.5951 mmH2O, conventional
	inHg  = 3386.388640341 // Pa, = 25.4 mmHg, conventional
	psi   = 4.4482216152605 / (inch * inch)
)

var lengths = []unit{
	{"mm", []string{"millimetre", "millimetres", "millimeter", "millimeters"}, 1, 1000, 0},
	{"cm", []string{"centimetre", "centimetres", "centimeter", "centimeters"}, 1, 100, 0},
	{"m", []string{"metre", "metres", "meter", "meters"}, 1, 1, 0},
	{"in", []string{`"`, "''", "inch", "inches", "ins"}, inch, 1, 0},
	{"ft", []string{"'", "foot", "feet"}, foot, 1, 0},
}

// dimensions is indexed by Dimension. metric and us are the symbols that a
// bare number has; digits is how many significant ones Format shows.
var dimensions = [...]struct {
	name       string
	metric, us string
	digits     int
	units      []unit
}{
	Number:   {"number", "", "", 4, []unit{{"", nil, 1, 1, 0}}},
	Diameter: {"diameter", "mm", "in", 3, lengths},
	Length:   {"length", "m", "ft", 3, lengths},
	Flow: {"flow", "m3/h", "cfm", 3, []unit{
		{"m3/h", []string{"m3/hr", "m3ph", "cmh", "cbm/h", "cum/h"}, 1, 3600, 0},
		{"m3/min", []string{"cmm"}, 1, 60, 0},
		{"m3/s", []string{"m3/sec"}, 1, 1, 0},
		{"L/s", []string{"l/sec", "lps"}, 1, 1000, 0},
		{"L/min", []string{"lpm"}, 1, 60000, 0},
		{"cfm", []string{"ft3/min", "cuft/min", "cft/min"}, foot3, 60, 0},
	}},
	Pressure: {"pressure", "Pa", "inH2O", 3, []unit{
		{"Pa", []string{"pascal", "pascals", "n/m2"}, 1, 1, 0},
		{"hPa", nil, 100, 1, 0},
		{"kPa", nil, 1000, 1, 0},
		{"mbar", []string{"millibar", "millibars"}, 100, 1, 0},
		{"bar", nil, 1e5, 1, 0},
		{"inH2O", waterColumn("in", `"`, "inch", "inches"), inH2O, 1, 0},
		{"mmH2O", waterColumn("mm"), mmH2O, 1, 0},
		{"cmH2O", waterColumn("cm"), 10 * mmH2O, 1, 0},
		{"inHg", []string{`"hg`, "inchhg", "incheshg", "inofmercury", "inchesofmercury"}, inHg, 1, 0},
		{"mmHg", []string{"mmofmercury"}, mmHg, 1, 0},
		{"psi", nil, psi, 1, 0},
	}},
	Velocity: {"velocity", "m/s", "fpm", 3, []unit{
		{"m/s", []string{"m/sec", "mps"}, 1, 1, 0},
		{"m/min", nil, 1, 60, 0},
		{"km/h", []string{"kmh", "kph", "km/hr"}, 1, 3.6, 0},
		{"fpm", []string{"ft/min", "feet/min", "ftpermin", "feetperminute"}, foot, 60, 0},
		{"ft/s", []string{"fps", "ft/sec"}, foot, 1, 0},
		{"mph", nil, 5280 * foot, 3600, 0},
	}},
	Temperature: {"temperature", "degC", "degF", 3, []unit{
		{"degC", []string{"c", "celsius", "degcelsius"}, 1, 1, 273.15},
		{"degF", []string{"f", "fahrenheit", "degfahrenheit"}, 5, 9, 459.67},
		{"K", []string{"kelvin", "degk"}, 1, 1, 0},
	}},
	Density: {"density", "kg/m3", "lb/ft3", 4, []unit{
		{"kg/m3", []string{"g/l"}, 1, 1, 0},
		{"lb/ft3", []string{"lbm/ft3", "lbs/ft3", "lb/cuft", "lbs/cuft", "lbm/cuft", "pcf"}, pound, foot3, 0},
	}},
	Area: {"area", "cm2", "in2", 3, []unit{
		{"mm2", []string{"sqmm"}, 1, 1e6, 0},
		{"cm2", []string{"sqcm"}, 1, 1e4, 0},
		{"m2", []string{"sqm"}, 1, 1, 0},
		{"in2", []string{"sqin", "sqinch", "sqinches", "insq"}, inch * inch, 1, 0},
		{"ft2", []string{"sqft", "sqfeet"}, foot * foot, 1, 0},
	}},
	Roughness: {"roughness", "mm", "ft", 3, append([]unit{
		{"um", []string{"\u00b5m", "\u03bcm", "micron", "microns", "micrometre", "micrometer"}, 1, 1e6, 0},
	}, lengths...)},
	Share:     {"share", "%", "%", 3, []unit{{"%", []string{"percent", "pct"}, 1, 100, 0}}},
	MotorSize: {"motor power", "kW", "hp", 3, powers},
	Power:     {"power", "W", "W", 3, powers},
	Current:   {"current", "A", "A", 3, []unit{{"A", []string{"amp", "amps", "ampere", "amperes"}, 1, 1, 0}, {"mA", nil, 1, 1000, 0}}},
	Rotation:  {"speed", "rpm", "rpm", 4, []unit{{"rpm", []string{"1/min", "min-1", "r/min", "rev/min"}, 1, 60, 0}, {"Hz", []string{"1/s", "rps"}, 1, 1, 0}}},
	Multiple:  {"multiple", "x", "x", 3, []unit{{"x", []string{"\u00d7", "times", "fold"}, 1, 1, 0}}},
}

// powers: a horsepower is 550 ft·lbf/s (NIST SP 811, B.8), a metric one 75 kgf·m/s.
var powers = []unit{
	{"W", []string{"watt", "watts"}, 1, 1, 0},
	{"kW", []string{"kilowatt", "kilowatts"}, 1000, 1, 0},
	{"hp", []string{"horsepower", "bhp"}, 550 * foot * 4.4482216152605, 1, 0},
	{"PS", []string{"cv", "metrichp"}, 75 * 9.80665, 1, 0},
}

// waterColumn gives the spellings of a water column measured in the length
// unit spelled as given: "in wg", "in. w.g.", "\"wc", "inches of water".
// H2O with a zero for the letter is a slip of the keyboard that can mean
// nothing else.
func waterColumn(lengths ...string) []string {
	var out []string
	for _, l := range lengths {
		for _, w := range []string{"h2o", "h20", "wc", "wg", "water", "ofwater", "h2og", "watergauge", "watercolumn", "aq", "ws"} {
			out = append(out, l+w)
		}
	}
	return out
}
