package trade

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"lostair/readings/units"
)

// Usual is what one kind of machine, of one range of sizes, usually needs. It is
// offered to who describes a shop, and never applied: what a machine needs is what
// its own papers say.
type Usual struct {
	Kind     string
	also     []string // other names for it
	Size     string   // what its size is the size of; "": the kind has one row
	Over, To float64  // sizes of this row, m: larger than Over and up to To; both 0: all
	// Need is from Low to High, m³/s; if they are alike, it is the least.
	Low, High float64
	// Entry loss of its own hood, as a multiple of the velocity pressure.
	HoodLow, HoodHigh float64
	Source, Status    string
}

const (
	practiceStatus = "common practice, no source"
	machineNeeds   = "what carries the dust of such a machine in the port that it usually has"
	grindingNeeds  = "29 CFR 1910.94(b), table G-4, for wheels as wide as the table has them"
	buffingNeeds   = "29 CFR 1910.94(b), table G-5, for wheels as wide as the table has them"
)

// usuals in inches and cfm. A woodworking machine's hood loses about one velocity
// pressure in practice; three machine manuals ask for 550, 900 and 1,200 Pa at
// 20 m/s, which leaves 1.3 to 4.0 to the hood.
var usuals = slices.Concat(
	wood("table saw", "blade", []string{"tablesaw", "cabinet saw", "saw bench", "panel saw"}, sized{0, 12, 350, 450}, sized{12, 18, 450, 600}),
	wood("over-blade guard", "", []string{"over blade guard", "overarm guard", "overhead guard", "crown guard", "blade guard"}, sized{0, 0, 100, 200}),
	wood("crosscut saw", "", []string{"radial arm saw", "mitre saw", "miter saw", "chop saw"}, sized{0, 0, 350, 600}),
	wood("bandsaw", "wheels", []string{"band saw"}, sized{0, 14, 350, 450}, sized{14, 20, 450, 700}, sized{20, 36, 550, 800}),
	wood("planer", "knives", []string{"thicknesser", "thickness planer"}, sized{0, 13, 400, 500}, sized{13, 20, 500, 800}, sized{20, 26, 800, 1100}),
	wood("jointer", "knives", []string{"surface planer", "overhand planer", "surfacer"}, sized{0, 8, 350, 450}, sized{8, 12, 450, 550}, sized{12, 20, 550, 800}),
	wood("spindle moulder", "", []string{"spindle", "shaper", "moulder"}, sized{0, 0, 350, 600}),
	wood("router table", "", []string{"router"}, sized{0, 0, 200, 350}),
	wood("drum sander", "drum", nil, sized{0, 16, 350, 550}, sized{16, 25, 550, 800}),
	wood("wide-belt sander", "belt", []string{"wide belt sander", "widebelt sander", "wide belt"}, sized{0, 25, 800, 1100}),
	wood("disc sander", "disc", []string{"disk sander"}, sized{0, 12, 300, 400}, sized{12, 18, 400, 550}, sized{18, 26, 550, 800}),
	wood("edge sander", "belt", []string{"belt sander"}, sized{0, 6, 350, 550}, sized{6, 9, 550, 800}),
	wood("spindle sander", "", []string{"bobbin sander"}, sized{0, 0, 200, 350}),
	open("lathe", nil, sized{0, 0, 350, 550}),
	open("floor sweep", []string{"sweep"}, sized{0, 0, 350, 800}),
	wheels("grinding wheel", grindingNeeds, []string{"bench grinder", "grinder"}, [6]float64{220, 390, 500, 610, 880, 1200}),
	wheels("buffing wheel", buffingNeeds, []string{"buffer", "polisher", "polishing wheel"}, [6]float64{300, 500, 610, 740, 1040, 1200}),
)

// inUS are kinds that go by another name in the US.
var inUS = map[string]string{"spindle moulder": "shaper"}

// sized is a row: larger than over inches and up to to, low to high cfm.
type sized struct{ over, to, low, high float64 }

func wood(kind, size string, also []string, rows ...sized) []Usual {
	return usual(Usual{Kind: kind, Size: size, also: also, HoodLow: 1, HoodHigh: 4, Source: machineNeeds, Status: practiceStatus}, rows)
}

// open are hoods that stand open before the work or the floor, as a duct's end does.
func open(kind string, also []string, rows ...sized) []Usual {
	return usual(Usual{Kind: kind, also: also, HoodLow: 0.4, HoodHigh: 1, Source: machineNeeds, Status: practiceStatus}, rows)
}

// wheels are of the diameters of the two tables, each with its least air.
func wheels(kind, source string, also []string, least [6]float64) []Usual {
	var rows []sized
	edges := [...]float64{0, 9, 16, 19, 24, 30, 36}
	for i, v := range least {
		rows = append(rows, sized{edges[i], edges[i+1], v, v})
	}
	return usual(Usual{Kind: kind, Size: "wheel", also: also, HoodLow: 0.45, HoodHigh: 0.65, Source: source, Status: "read"}, rows)
}

func usual(like Usual, rows []sized) (out []Usual) {
	inch, cfm := units.Diameter.ToSI(units.US, 1), units.Flow.ToSI(units.US, 1)
	for _, r := range rows {
		u := like
		u.Over, u.To, u.Low, u.High = r.over*inch, r.to*inch, r.low*cfm, r.high*cfm
		out = append(out, u)
	}
	return out
}

// Usuals lists what machines usually need.
func Usuals() []Usual { return slices.Clone(usuals) }

// UsualOf is what a machine usually needs, by what people call it: "planer 12 in".
// A bare number is in the unit of diameters in s. Of a kind by size whose size isn't
// said it is the whole range, with the sizes left open. False: no such kind is known,
// or none of that size.
func UsualOf(text string, s units.System) (Usual, bool) {
	words := Fold(text)
	kind := kindIn(words)
	if kind == "" {
		return Usual{}, false
	}
	var rows []Usual
	for _, u := range usuals {
		if u.Kind == kind {
			rows = append(rows, u)
		}
	}
	size, said := sizeIn(words, s)
	if !said || rows[0].Size == "" {
		whole := rows[0]
		whole.Over, whole.To = 0, 0
		for _, u := range rows {
			whole.Low, whole.High = min(whole.Low, u.Low), max(whole.High, u.High)
		}
		return whole, true
	}
	for _, u := range rows {
		if size > u.Over && size <= u.To*(1+1e-9) {
			return u, true
		}
	}
	return Usual{}, false
}

// kindIn is the kind whose longest name stands in a text; "" if none does.
func kindIn(words string) (kind string) {
	longest := 0
	for _, u := range usuals {
		for _, name := range append([]string{u.Kind}, u.also...) {
			if n := Fold(name); len(n) > longest && hasWords(words, n) {
				kind, longest = u.Kind, len(n)
			}
		}
	}
	return kind
}

// hasWords is whether the words of name stand in text, in a row.
func hasWords(text, name string) bool {
	return strings.Contains(" "+letters.Replace(text)+" ", " "+name+" ")
}

// letters parts words where punctuation does.
var letters = strings.NewReplacer(",", " ", ";", " ", "(", " ", ")", " ", ".", " ", "/", " ", "+", " ")

var sizeText = regexp.MustCompile(`(\d+(?:\.\d+)?)\s*(in\b|inch\b|inches\b|"|”|″|mm\b|cm\b)?`)

// sizeIn is the first size that a text names, m.
func sizeIn(text string, s units.System) (float64, bool) {
	m := sizeText.FindStringSubmatch(text)
	if m == nil {
		return 0, false
	}
	v, err := strconv.ParseFloat(m[1], 64)
	if err != nil || v == 0 {
		return 0, false
	}
	switch m[2] {
	case "":
		return units.Diameter.ToSI(s, v), true
	case "mm", "cm":
		si, err := units.Parse(m[1]+" "+m[2], units.Diameter, s)
		return si.SI, err == nil
	}
	return units.Diameter.ToSI(units.US, v), true
}

// Says is the row in words, in the units of s: "a planer with knives to 13 in usually
// needs 400 to 500 cfm".
func (u *Usual) Says(s units.System) string {
	return u.Named(s) + " usually needs " + u.Needs(s)
}

// Named is the kind and its sizes: "a planer (knives to 13 in)".
func (u *Usual) Named(s units.System) string {
	kind := u.Kind
	if us, ok := inUS[kind]; ok && s == units.US {
		kind = us
	}
	name := "a " + kind
	if strings.ContainsRune("aeiou", rune(kind[0])) {
		name = "an " + kind
	}
	if u.To > 0 {
		name += " (" + u.Sizes(s) + ")"
	}
	return name
}

// Sizes are those of the row: "knives over 13 to 20 in"; "" if it has none.
func (u *Usual) Sizes(s units.System) string {
	if u.To == 0 {
		return ""
	}
	if u.Over == 0 {
		return u.Size + " to " + units.Format(u.To, units.Diameter, s)
	}
	return fmt.Sprintf("%s over %s to %s", u.Size, units.Brief(units.Diameter.FromSI(s, u.Over)), units.Format(u.To, units.Diameter, s))
}

// Needs is the air: "400 to 500 cfm".
func (u *Usual) Needs(s units.System) string {
	high := units.Format(u.High, units.Flow, s)
	if u.Low == u.High {
		return "at least " + high
	}
	low, _, _ := strings.Cut(units.Format(u.Low, units.Flow, s), " ")
	return low + " to " + high
}

// Fold is a name as people write it in one form: in small letters, with a blank for a
// hyphen or an underscore.
func Fold(name string) string {
	return strings.NewReplacer("-", " ", "_", " ").Replace(strings.ToLower(strings.TrimSpace(name)))
}
