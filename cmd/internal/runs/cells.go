package runs

import (
	"regexp"
	"strconv"
	"strings"

	"lostair/readings/units"
)

// Fitting is a bend, or another loss along a run.
type Fitting struct {
	Angle  string // of a bend, degrees; "": none
	Radius string // of a bend, over its size; "": the usual one
	Loss   string // as a multiple of the velocity pressure, of what is no bend
	Count  int
	What   string
}

// rightAngles is the most of a bare number that counts right-angled bends and is no
// angle itself.
const rightAngles = 12

// onePart is one kind of fitting in a cell: 2x90, 45° R1, 90 (long sweep), 2x loss 0.3 (grille).
var onePart = regexp.MustCompile(`^(?:(\d+) ?[x×*] ?)?(loss )?([0-9.]+) ?(?:°|deg)?(?: ?r ?=? ?([0-9.]+))?(?: ?\((.*)\))?$`)

// decimalComma is the one of a radius or a loss: between two angles a blank follows.
var decimalComma = regexp.MustCompile(`((?:r ?=? ?|loss )\d+),(\d)`)

// FittingsOf reads a cell of bends: a number of right-angled ones ("2"), or angles with
// their numbers ("2x90 + 45"), and other losses. False: none of these.
func FittingsOf(cell string) ([]Fitting, bool) {
	cell = strings.TrimSpace(cell)
	switch strings.ToLower(cell) {
	case "", "0", "no", "none", "-":
		return nil, true
	}
	if n, err := strconv.Atoi(cell); err == nil && n > 0 && n <= rightAngles {
		return []Fitting{{Angle: "90", Count: n}}, true
	}
	var out []Fitting
	for _, part := range partsOf(decimalComma.ReplaceAllString(lowered(cell), "$1.$2"), "+,;&") {
		m := onePart.FindStringSubmatch(part)
		if m == nil {
			return nil, false
		}
		f := Fitting{Count: 1, What: m[5]}
		if m[1] != "" {
			f.Count, _ = strconv.Atoi(m[1])
		}
		v, err := strconv.ParseFloat(m[3], 64)
		switch {
		case err != nil || f.Count < 1 || f.Count > 1000:
			return nil, false
		case m[2] != "":
			if m[4] != "" {
				return nil, false
			}
			f.Loss = m[3]
		case v < 1 || v > 180:
			return nil, false
		default:
			f.Angle, f.Radius = m[3], m[4]
		}
		out = append(out, f)
	}
	return out, len(out) > 0
}

// lowered puts into small letters what stands outside parentheses.
func lowered(cell string) string {
	var b strings.Builder
	deep := 0
	for _, c := range cell {
		if c == '(' {
			deep++
		}
		if deep == 0 {
			b.WriteString(strings.ToLower(string(c)))
		} else {
			b.WriteRune(c)
		}
		if c == ')' {
			deep = max(0, deep-1)
		}
	}
	return b.String()
}

// partsOf cuts a cell at marks that stand outside parentheses. Parts that are empty
// are left out.
func partsOf(cell, marks string) []string {
	var out []string
	deep, from := 0, 0
	take := func(to int) {
		if p := strings.Join(strings.Fields(cell[from:to]), " "); p != "" {
			out = append(out, p)
		}
	}
	for i, c := range cell {
		switch {
		case c == '(':
			deep++
		case c == ')':
			deep = max(0, deep-1)
		case deep == 0 && strings.ContainsRune(marks, c):
			take(i)
			from = i + 1
		}
	}
	take(len(cell))
	return out
}

// fittingCell writes what FittingsOf reads.
func fittingCell(list []Fitting) string {
	var parts []string
	for _, f := range list {
		text := f.Angle
		if f.Angle == "" {
			text = "loss " + f.Loss
		}
		if f.Angle == "" && f.Count > 1 || f.Angle != "" {
			text = strconv.Itoa(f.Count) + "x" + text
		}
		if f.Radius != "" {
			text += " R" + f.Radius
		}
		if f.What != "" {
			text += " (" + f.What + ")"
		}
		parts = append(parts, text)
	}
	return strings.Join(parts, " + ")
}

// tap is a hole for the gauge.
type tap struct{ name, at string } // name "": not given

// tapsOf reads a cell of holes: a name with a distance ("T1: 4.5", "T1 4.5 ft", "T1 at
// 12 ft 6 in"), several with + or ; between, or a distance alone. False: none of these.
func tapsOf(cell string) ([]tap, bool) {
	cell = strings.TrimSpace(cell)
	switch strings.ToLower(cell) {
	case "", "no", "none", "-":
		return nil, true
	}
	marks := "+;&"
	if strings.Contains(cell, ", ") { // else a decimal comma
		cell = strings.ReplaceAll(cell, ", ", "; ")
	}
	var out []tap
	for _, part := range partsOf(cell, marks) {
		t, ok := tapOf(part)
		if !ok {
			return nil, false
		}
		out = append(out, t)
	}
	return out, len(out) > 0
}

func tapOf(part string) (tap, bool) {
	if i := strings.LastIndexAny(part, ":=@"); i >= 0 {
		at := strings.TrimSpace(part[i+1:])
		return tap{strings.TrimSpace(part[:i]), at}, isLength(at)
	}
	words := strings.Fields(part)
	for i := range words { // the longest length at its end
		at := strings.Join(words[i:], " ")
		if !isLength(at) {
			continue
		}
		name := words[:i]
		if i > 1 && strings.EqualFold(name[i-1], "at") {
			name = name[:i-1]
		}
		return tap{strings.Join(name, " "), at}, true
	}
	return tap{}, false
}

func isLength(text string) bool { return isAmount(text, units.Length) }

// isAmount says whether a text is an amount in either system: a bare 9 1/2 is one on a
// tape in feet alone.
func isAmount(text string, d units.Dimension) bool {
	_, metric := units.Parse(text, d, units.Metric)
	_, us := units.Parse(text, d, units.US)
	return metric == nil || us == nil
}

// onTape is a length with a fraction and no unit, 9 1/2 or 5/8.
var onTape = regexp.MustCompile(`^(\d+[ -])?\d+/\d+$`)

// bare is whether a cell is a number without a unit.
func bare(cell string) bool {
	if onTape.MatchString(cell) {
		return true
	}
	_, err := strconv.ParseFloat(strings.Replace(cell, ",", ".", 1), 64)
	return err == nil
}

// tapCell writes what tapsOf reads.
func tapCell(list []tap) string {
	var parts []string
	for _, t := range list {
		if t.name == "" {
			parts = append(parts, t.at)
			continue
		}
		parts = append(parts, t.name+": "+t.at)
	}
	return strings.Join(parts, " + ")
}

var bySides = regexp.MustCompile(`^(.*\d[^\d]*?) ?(?:[x×X*]|by) ?(\d.*)$`)

// SidesOf reads the width and height of a rectangle: 200 x 100, 8 x 4 in, 8 in by 4 in.
// One unit behind both holds for both.
func SidesOf(text string) (width, height string, ok bool) {
	m := bySides.FindStringSubmatch(strings.TrimSpace(text))
	if m == nil {
		return "", "", false
	}
	width, height = strings.TrimSpace(m[1]), strings.TrimSpace(m[2])
	if v, err := units.Parse(height, units.Diameter, units.Metric); err == nil && v.Explicit && bare(width) {
		width += " " + v.Unit
	}
	return width, height, true
}

// taperedHood is a hood with the angle of its taper.
var taperedHood = regexp.MustCompile(`^([a-z-]+) (?:at )?([0-9.]+) ?(?:°|deg|degrees)?$`)
