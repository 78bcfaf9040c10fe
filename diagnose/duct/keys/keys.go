package keys

import (
	"lostair/diagnose/duct/trade"
	"lostair/readings/units"
)

// Form says how the value of a key is written.
type Form uint8

const (
	Text     Form = iota // any text
	Name                 // an id
	Amount               // a number, with or without its unit
	Whole                // a whole number
	Angle                // degrees
	YesNo                // true or false
	Choice               // one of Key.Choices
	Mixed                // a number, or one of Key.Choices
	Inner                // keys of Key.Section
	Rows                 // a list, each row with the keys of Key.Section
	Pairs                // a list of [first, second], the two keys of Key.Section
	TapList              // tap id: distance
	List                 // a list of Key.Choices
	Settings             // a list of gate settings
	Names                // a list of ids
)

// Key is one key of the system file. Help, errors, schema and documentation
// all read this table.
type Key struct {
	Name     string
	Form     Form
	Dim      units.Dimension // of an Amount, a Mixed or the distances of a TapList
	Needed   bool
	Min, Max float64  // smallest and largest possible value, SI (angles: rad); both 0: any
	Choices  []string // of a Choice, a Mixed or a List
	Section  string   // of an Inner, Rows or Pairs: where its keys stand; of a Name or an Amount: keys that may stand in its place
	True     bool     // of an Inner: true or false may stand in its place
	Default  string   // what holds if left out, in words; "" if that needs no saying
	What     string   // what it is, in a few words
}

// Sizes between which a duct's diameter can lie, m.
const MinDiameter, MaxDiameter = 0.0005, 5

// IsAngle is whether the number of the key is an angle.
func (k *Key) IsAngle() bool { return k.Form == Angle || k.Form == Mixed && k.Name == "enters" }

// Section is the table of the keys that one mapping of the file may have.
type Section struct {
	Name string // dotted, as ducts.gate; "": the top level
	Noun string // what errors call a row of it
	Keys []Key
}

var sections = [...]Section{
	{"", "system file", []Key{
		{Name: "name", Form: Text, What: "what you call the system"},
		{Name: "units", Form: Choice, Needed: true, Choices: []string{"metric", "us"}, What: "what a number without a unit means"},
		{Name: "air", Form: Inner, Section: "air", Default: "standard air, 1.204 kg/m3", What: "the air in the room"},
		{Name: "collector", Form: Inner, Needed: true, Section: "collector", What: "inlet, cyclone, bin, fan and filter"},
		{Name: "ducts", Form: Rows, Needed: true, Section: "ducts", What: "the duct runs, each of one diameter"},
		{Name: "ports", Form: Rows, Needed: true, Section: "ports", What: "where the air comes in"},
		{Name: "machines", Form: Rows, Section: "machines", What: "machines with several ports and one need"},
		{Name: "room", Form: Inner, Section: "room", Default: "as much air comes in as the fan takes", What: "how the shop gets its air"},
		{Name: "settings", Form: Settings, Default: "each gate alone", What: "the gate settings in use, by which reports judge: gate ids joined with +, or all"},
		{Name: "instruments", Form: Rows, Section: "instruments", What: "what the readings are taken with"},
		{Name: "limits", Form: Inner, Section: "limits", What: "what the air must at least do"},
		{Name: "uncertainty", Form: Inner, Section: "uncertainty", What: "how far the built system may lie from this file (1 sigma)"},
	}},
	{"air", "air", []Key{
		{Name: "temperature", Form: Amount, Dim: units.Temperature, Min: 213.15, Max: 373.15, Default: "20 degC", What: "temperature of the room air"},
		{Name: "altitude", Form: Amount, Dim: units.Length, Min: -500, Max: 9000, Default: "sea level", What: "height above sea level, in place of pressure"},
		{Name: "pressure", Form: Amount, Dim: units.Pressure, Min: 30e3, Max: 110e3, What: "barometer at the site, in place of altitude"},
		{Name: "humidity", Form: Amount, Dim: units.Share, Min: 0, Max: 1, Default: "dry air", What: "relative humidity"},
	}},
	{"collector", "collector", []Key{
		{Name: "inlet", Form: Amount, Dim: units.Diameter, Needed: true, Min: MinDiameter, Max: MaxDiameter, What: "diameter of the collector's inlet"},
		{Name: "fan", Form: Inner, Section: "collector.fan", Default: "the readings tell its curve", What: "its curve, or most_air and most_suction, or motor and wheel"},
		{Name: "cyclone", Form: Inner, Section: "collector.cyclone", True: true, What: "the cyclone's loss, which grows with flow squared; or true: a wide guess of it"},
		{Name: "filter", Form: Inner, Section: "collector.filter", True: true, What: "the clean filter's loss, which grows in proportion to flow; or true: a wide guess of it"},
		{Name: "bin", Form: YesNo, Default: "false", What: "whether a sealed dust bin hangs under the cyclone"},
		{Name: "order", Form: List, Choices: PartNames[:], Default: "cyclone, fan, filter", What: "the parts in order of flow"},
	}},
	{"collector.fan", "fan", []Key{
		{Name: "curve", Form: Pairs, Section: "collector.fan.curve", What: "[flow, fan static pressure]: flow rising, pressure never rising after its peak"},
		{Name: "density", Form: Amount, Dim: units.Density, Min: 0.1, Max: 5, Default: "standard air, 1.204 kg/m3", What: "air density at which the curve holds"},
		{Name: "most_air", Form: Amount, Dim: units.Flow, Min: 1e-4, Max: 1000, What: "flow at no fan static pressure, in place of a curve; with most_suction"},
		{Name: "most_suction", Form: Amount, Dim: units.Pressure, Min: 1, Max: 60e3, What: "fan static pressure at no flow, in place of a curve; with most_air"},
		{Name: "motor", Form: Amount, Dim: units.MotorSize, Min: 1, Max: 1e6, What: "power on the motor's nameplate, in place of a curve; with wheel"},
		{Name: "wheel", Form: Amount, Dim: units.Diameter, Min: 0.02, Max: MaxDiameter, What: "diameter of the fan's wheel, in place of a curve; with motor"},
		{Name: "speed", Form: Amount, Dim: units.Rotation, Min: 1, Max: 1000, Default: "known only against a baseline", What: "speed at which the curve holds, for readings of the fan's speed; beside motor and wheel: of the wheel, for the guess of its curve"},
		{Name: "includes", Form: List, Choices: []string{"cyclone", "filter"}, Default: "the fan alone", What: "parts of the collector whose clean losses the curve has in it already"},
	}},
	{"collector.fan.curve", "fan curve", []Key{
		{Name: "flow", Form: Amount, Dim: units.Flow, Needed: true, Min: 0, Max: 1000, What: "flow"},
		{Name: "pressure", Form: Amount, Dim: units.Pressure, Needed: true, Min: 0, Max: 60e3, What: "fan static pressure"},
	}},
	{"collector.cyclone", "cyclone", dropKeys},
	{"collector.filter", "filter", dropKeys},
	{"ducts", "duct", []Key{
		{Name: "id", Form: Name, Needed: true, What: "name of this run"},
		{Name: "into", Form: Name, Needed: true, What: "id of the duct it flows into, or collector"},
		{Name: "enters", Form: Mixed, Min: units.Degree, Max: 90 * units.Degree, Choices: []string{"straight"}, Default: "straight", What: "straight, or the angle of the branch in degrees"},
		{Name: "diameter", Form: Amount, Dim: units.Diameter, Min: MinDiameter, Max: MaxDiameter, What: "inside diameter; of a rectangular duct width and height in its place"},
		{Name: "width", Form: Amount, Dim: units.Diameter, Min: MinDiameter, Max: MaxDiameter, What: "inside width of a rectangular duct, with height"},
		{Name: "height", Form: Amount, Dim: units.Diameter, Min: MinDiameter, Max: MaxDiameter, What: "inside height of a rectangular duct, with width"},
		{Name: "length", Form: Amount, Dim: units.Length, Needed: true, Min: 0, Max: 10e3, What: "length along the centre line"},
		{Name: "material", Form: Choice, Choices: trade.MaterialNames(), What: "what the wall is"},
		{Name: "roughness", Form: Amount, Dim: units.Roughness, Min: 0, Max: 0.1, What: "height of the wall's roughness, in place of material"},
		{Name: "compressed", Form: Amount, Dim: units.Share, Min: 0, Max: 0.6, Default: "stretched out", What: "of a hose: how much shorter it lies than stretched out"},
		{Name: "lining", Form: Choice, Choices: []string{"ribbed", "smooth"}, Default: "ribbed", What: "of a hose: how its inside is; smooth: its wires are covered"},
		{Name: "fittings", Form: Rows, Section: "ducts.fittings", What: "elbows and other losses along it"},
		{Name: "taps", Form: TapList, Dim: units.Length, Min: 0, Max: 10e3, What: "pressure taps: id and distance from the upstream end"},
		{Name: "gate", Form: Name, Section: "ducts.gate", What: "id of a blast gate at its upstream end, or {id, at}"},
		{Name: "taper", Form: Choice, Choices: []string{"abrupt", "smooth"}, Default: "smooth", What: "abrupt: the change of diameter at its downstream end is a step"},
	}},
	{"ducts.fittings", "fitting", []Key{
		{Name: "elbow", Form: Angle, Min: units.Degree, Max: 180 * units.Degree, What: "a bend: its angle in degrees"},
		{Name: "radius", Form: Amount, Dim: units.Number, Min: 0.5, Max: 50, Default: "1.5", What: "the bend's centre-line radius over the diameter"},
		{Name: "count", Form: Whole, Min: 1, Max: 1000, Default: "1", What: "how many of them"},
		{Name: "loss", Form: Amount, Dim: units.Number, Min: 0, Max: 1e4, What: "any other loss, as a multiple of the velocity pressure"},
		{Name: "what", Form: Text, What: "what it is"},
	}},
	{"ducts.gate", "gate", []Key{
		{Name: "id", Form: Name, Needed: true, What: "name of the gate"},
		{Name: "at", Form: Choice, Choices: []string{"upstream", "downstream"}, Default: "upstream", What: "the end of the duct at which it sits: upstream is the machine's end, where air comes in"},
	}},
	{"ports", "port", []Key{
		{Name: "id", Form: Name, Needed: true, What: "name of the machine or inlet"},
		{Name: "duct", Form: Name, Needed: true, What: "id of the duct whose upstream end it is"},
		{Name: "hood", Form: Mixed, Dim: units.Number, Needed: true, Min: 0, Max: 1e3, Choices: trade.HoodNames(), What: "kind of hood, or its entry loss as a multiple of the velocity pressure"},
		{Name: "angle", Form: Angle, Min: units.Degree, Max: 180 * units.Degree, What: "of a tapered hood: the included angle of its taper in degrees"},
		{Name: "need", Form: Amount, Dim: units.Flow, Min: 0, Max: 100, What: "flow that the machine needs when its gate is open"},
		{Name: "opening", Form: Amount, Dim: units.Diameter, Min: MinDiameter, Max: MaxDiameter, Section: "ports.opening", Default: "as wide as the duct", What: "inside diameter of the machine's own port, or {width, height}"},
		{Name: "machine", Form: Text, What: "what stands there, like planer 12 in"},
	}},
	{"ports.opening", "opening", []Key{
		{Name: "width", Form: Amount, Dim: units.Diameter, Needed: true, Min: MinDiameter, Max: MaxDiameter, What: "inside width"},
		{Name: "height", Form: Amount, Dim: units.Diameter, Needed: true, Min: MinDiameter, Max: MaxDiameter, What: "inside height"},
	}},
	{"machines", "machine", []Key{
		{Name: "id", Form: Name, Needed: true, What: "name of the machine"},
		{Name: "ports", Form: Names, Needed: true, What: "ids of the ports that serve it"},
		{Name: "need", Form: Amount, Dim: units.Flow, Needed: true, Min: 1e-6, Max: 100, What: "flow that it needs through all of them together"},
	}},
	{"room", "room", []Key{
		{Name: "inlets", Form: Amount, Dim: units.Area, Needed: true, Min: 1e-6, Max: 1e4, What: "open area through which the shop gets its air, where the collector blows outdoors"},
	}},
	{"instruments", "instrument", []Key{
		{Name: "id", Form: Name, Needed: true, What: "name of the instrument"},
		{Name: "measures", Form: Choice, Needed: true, Choices: []string{"pressure", "velocity", "speed", "current", "power"}, What: "what it measures"},
		{Name: "of_reading", Form: Amount, Dim: units.Share, Min: 0, Max: 1, What: "95 % limit as a share of the reading; the larger of this and floor holds"},
		{Name: "floor", Form: Amount, Min: 0, Max: 1e4, What: "95 % limit at least, as a pressure or velocity"},
		{Name: "size", Form: Amount, Dim: units.Diameter, Min: 0.003, Max: 1, What: "diameter of a vane's head: check warns of a mouth that it fills too much"},
	}},
	{"limits", "limits", []Key{
		{Name: "conveying_velocity", Form: Inner, Section: "limits.conveying_velocity", What: "slowest air that still carries the dust"},
	}},
	{"limits.conveying_velocity", "conveying velocity", []Key{
		{Name: "branch", Form: Amount, Dim: units.Velocity, Min: 1, Max: 100, What: "in a duct that serves one port"},
		{Name: "main", Form: Amount, Dim: units.Velocity, Min: 1, Max: 100, What: "in a duct that serves several"},
	}},
	{"uncertainty", "uncertainty", []Key{
		{Name: "losses", Form: Amount, Dim: units.Share, Min: 0, Max: 1, What: "of the ducts' and fittings' losses"},
		{Name: "fan", Form: Amount, Dim: units.Share, Min: 0, Max: 1, What: "of the fan's speed"},
		{Name: "filter", Form: Amount, Dim: units.Share, Min: 0, Max: 1, What: "of the filter's loss"},
	}},
}

var dropKeys = []Key{
	{Name: "drop", Form: Amount, Dim: units.Pressure, Needed: true, Min: 0, Max: 100e3, What: "pressure loss"},
	{Name: "at", Form: Amount, Dim: units.Flow, Needed: true, Min: 1e-6, Max: 1000, What: "flow at which it has that loss"},
}

// Sections lists the names of the file's sections in the order of the file;
// "" is the top level.
func Sections() []string {
	var out []string
	for _, s := range sections {
		out = append(out, s.Name)
	}
	return out
}

// Of lists the keys of a section; nil for a section that there isn't.
func Of(section string) []Key {
	for _, s := range sections {
		if s.Name == section {
			return append([]Key(nil), s.Keys...)
		}
	}
	return nil
}

// SectionNamed returns the table of a section. It panics on a name that no
// table has, which is a slip in this package and found by its first test.
func SectionNamed(name string) *Section {
	for i := range sections {
		if sections[i].Name == name {
			return &sections[i]
		}
	}
	panic("keys: no section " + name)
}

// Key is the key of that name; nil: the section has none.
func (s *Section) Key(name string) *Key {
	for i := range s.Keys {
		if s.Keys[i].Name == name {
			return &s.Keys[i]
		}
	}
	return nil
}

// Names lists the names of the keys.
func (s *Section) Names() []string {
	var out []string
	for _, k := range s.Keys {
		out = append(out, k.Name)
	}
	return out
}

// PartNames are the collector's parts as the system file names them, in the usual order of flow.
var PartNames = [...]string{"cyclone", "fan", "filter"}
