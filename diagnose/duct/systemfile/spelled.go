package systemfile

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"lostair/diagnose/duct/keys"
	"lostair/diagnose/duct/trade"
	"lostair/readings/units"
)

// spelled are words of the trade that can mean one choice of the system file
// only, in small letters, with "-" and "_" as a blank.
var spelled = map[string]map[string]string{
	"material": {
		"galvanized": "galvanised", "galvanized steel": "galvanised", "galvanised steel": "galvanised", "galv": "galvanised", "sheet metal": "galvanised",
		"spiral pipe": "spiral", "spiral duct": "spiral",
		"flex": "flexible", "flex hose": "flexible", "flexible hose": "flexible", "hose": "flexible",
		"plastic": "pvc", "pvc pipe": "pvc",
	},
	"hood":   {"plain end": "plain", "open end": "plain", "plain duct": "plain", "flange": "flanged", "flanged end": "flanged", "taper": "tapered", "bell mouth": "bellmouth"},
	"enters": {"in line": "straight", "inline": "straight", "straight through": "straight"},
}

// meant is the choice that a text means: as written, in another case, with a blank for
// a hyphen, or a word of the trade for it.
func meant(k *keys.Key, text string) string {
	if slices.Contains(k.Choices, text) {
		return text
	}
	fold := strings.NewReplacer("-", " ", "_", " ").Replace
	folded := fold(strings.ToLower(strings.TrimSpace(text)))
	for _, c := range k.Choices {
		if fold(strings.ToLower(c)) == folded {
			return c
		}
	}
	if c := spelled[k.Name][folded]; slices.Contains(k.Choices, c) {
		return c
	}
	return text
}

// fittingWords say what to write for a fitting by a name that is none of its
// keys: what is no fitting in this file, or one of which a figure must be known.
var fittingWords = map[string]string{
	"wye": wyeWords, "y": wyeWords, "lateral": wyeWords, "branch": wyeWords,
	"tee":        "a join is no fitting: in the row of the branch that ends here write enters: 90",
	"t":          "a join is no fitting: in the row of the branch that ends here write enters: 90",
	"reducer":    reducerWords,
	"increaser":  reducerWords,
	"adapter":    reducerWords,
	"coupling":   reducerWords,
	"hose":       hoseWords,
	"flex":       hoseWords,
	"straight":   "straight pipe is no fitting: add it to the length of this row",
	"pipe":       "straight pipe is no fitting: add it to the length of this row",
	"gate":       "write gate: ID in the row itself, and at: downstream if it sits at that end",
	"blast gate": "write gate: ID in the row itself, and at: downstream if it sits at that end",
	"cap":        "a cap loses nothing: leave it out",
}

const (
	wyeWords     = "a join is no fitting: in the row of the branch that ends here write enters: 45"
	reducerWords = "a change of diameter is no fitting: it follows from the next row's diameter; taper: abrupt if it is a step"
	hoseWords    = "a hose is a row of its own: material: flexible"
)

// keyWords say what to write in the row of a duct for what people look a key for.
var keyWords = map[string]string{
	"sag": sagWords, "sags": sagWords, "sagging": sagWords,
	"stretched": stretchWords, "stretch": stretchWords,
	"ribbed":  "write lining: ribbed, or leave it out: a hose is ribbed unless lining: smooth stands there",
	"reducer": reducerWords, "increaser": reducerWords,
	"elbows": bendWords, "bends": bendWords, "elbow": bendWords, "bend": bendWords,
	"wye": joinKeyWords, "tee": joinKeyWords, "joins": joinKeyWords, "angle": joinKeyWords,
	"gauge": gaugeWords, "ga": gaugeWords, "gage": gaugeWords,
	"size": "write diameter, or of a rectangular duct width and height",
	"type": "write material, like spiral or flexible",
}

// fanWords do so in the fan.
var fanWords = map[string]string{
	"max air": mostAirWords, "max flow": mostAirWords, "most flow": mostAirWords, "flow": mostAirWords, "airflow": mostAirWords, "cfm": mostAirWords,
	"max suction": mostSuctionWords, "max pressure": mostSuctionWords, "max static": mostSuctionWords, "static pressure": mostSuctionWords, "suction": mostSuctionWords,
	"hp": motorWords, "kw": motorWords, "power": motorWords, "motor power": motorWords,
	"impeller": "write wheel: its diameter", "rotor": "write wheel: its diameter", "wheel diameter": "write wheel: its diameter",
	"rpm": "write speed: 3450 rpm",
}

const (
	mostAirWords     = "write most_air: the flow at no fan static pressure"
	mostSuctionWords = "write most_suction: the fan static pressure at no flow"
	motorWords       = "write motor: the power on its plate, like 2 hp or 1.5 kW"
)

const (
	sagWords     = "a hose that sags bends down and up again: write fittings: [{elbow: 30, count: 2}], with the angles it hangs at; and compressed if it is longer than its way"
	stretchWords = "a hose is taken as stretched out; write compressed: 15% if it lies that much shorter"
	gaugeWords   = "leave the gauge out: how thick the wall is changes nothing here"
	bendWords    = "write fittings: [{elbow: 90, count: 2}]"
	joinKeyWords = "write enters: 45, the angle at which this run joins the one it flows into"
)

// joinWords name a join, and not at which angle or by which leg of it.
var joinWords = map[string]bool{"wye": true, "y": true, "lateral": true, "branch": true, "tee": true, "t": true}

// bends are names of elbows: with their usual radius, where the name tells it.
var bends = map[string]string{
	"bend": "", "ell": "", "90": "", "elbow": "",
	"sweep elbow": "1.5", "sweep": "1.5", "long sweep": "1.5", "long radius elbow": "1.5", "long sweep elbow": "1.5",
}

// gauge is how thick a sheet is, as people write it before or behind a material.
var gauge = regexp.MustCompile(`\b(\d+\s*)?(gauge|gage|ga)\b\.?`)

// whatElse says what to write for a choice that is not known: for the nearest one, but
// for what people add to it.
func whatElse(k *keys.Key, text string) string {
	switch k.Name {
	case "material":
		word := trade.Fold(text)
		if bare := strings.Join(strings.Fields(gauge.ReplaceAllString(word, " ")), " "); bare != word {
			if known := meant(k, bare); slices.Contains(k.Choices, known) {
				return "leave the gauge out: write " + known
			}
			return keys.Suggest(k.Choices, bare) + "; leave the gauge out"
		}
	case "at":
		return "write upstream for the machine's end of the duct, or downstream for the collector's end"
	}
	return keys.Suggest(k.Choices, text)
}

// bend is the key that a bend by another name stands for.
func bend(s *keys.Section, name string) (string, bool) {
	if s.Name != "ducts.fittings" {
		return name, false
	}
	if _, ok := bends[trade.Fold(name)]; ok && trade.Fold(name) != "elbow" && trade.Fold(name) != "90" {
		return "elbow", true
	}
	return name, false
}

// bySides is a rectangle as people write it: 4x2, 3 1/2 x 4, 100 mm x 50 mm.
var bySides = regexp.MustCompile(`^\s*` + oneSide + `\s*[x×X*]\s*` + oneSide + `\s*$`)

// oneSide is one of them: 4, 3.5, 3 1/2, 100 mm.
const oneSide = `([0-9.]+(?:[ -][0-9]+/[0-9]+)?\s*(?:mm|cm|in)?)"?`

// sides says how to write a rectangle where a diameter stands; false: it is none.
func sides(text string, k *keys.Key) (do string, ok bool) {
	m := bySides.FindStringSubmatch(text)
	if m == nil || k.Dim != units.Diameter {
		return "", false
	}
	m[1], m[2] = strings.TrimSpace(m[1]), strings.TrimSpace(m[2])
	switch {
	case k.Section != "":
		return fmt.Sprintf("of a rectangle write %s: {width: %s, height: %s}", k.Name, m[1], m[2]), true
	}
	return fmt.Sprintf("of a rectangle write width: %s and height: %s in place of it", m[1], m[2]), true
}
