package runs

import (
	"cmp"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"lostair/diagnose/duct/edit"
	"lostair/readings/problem"
)

// materials are words that people write for what the system file names otherwise.
var materials = map[string]string{
	"": "spiral", "hose": "flexible", "flex": "flexible", "flexible hose": "flexible", "plastic": "pvc", "spiral pipe": "spiral", "snap lock": "galvanised", "galvanized": "galvanised", "steel": "galvanised",
}

// onto is a table on its way into a system file.
type onto struct {
	list    []Run
	table   string
	at      map[string]int // rows that a list of the file has so far
	changes []edit.Change
	out     problem.List
}

func (o *onto) insert(list, row string) {
	o.changes = append(o.changes, edit.Insert(edit.At(list, o.at[list]), row))
	o.at[list]++
}

// refuse says of a row what is not understood.
func (o *onto) refuse(r *Run, what, do string) {
	o.out = append(o.out, problem.Problem{File: o.table, Sheet: r.Sheet, Line: r.Line, What: fmt.Sprintf("run %q: ", r.ID) + what, Do: do})
}

// duct writes the row of a run; false: something in it is not understood.
func (o *onto) duct(r *Run) (row string, ok bool) {
	before := len(o.out)
	fittings, ok := FittingsOf(r.Bends)
	if !ok {
		o.refuse(r, fmt.Sprintf("the bends %q are not understood", r.Bends), "write how many right-angled ones, or angles such as 2x90 + 45, or another loss as loss 0.3 (grille)")
	}
	downstream, ok := gateEnd(r, o.list)
	if !ok {
		o.refuse(r, fmt.Sprintf("the gate_at %q doesn't say for sure which end of the run has the gate", r.GateAt), "write upstream for the machine's end of the run, or downstream for the collector's end")
	}
	taps, ok := tapsOf(r.Taps)
	if !ok {
		o.refuse(r, fmt.Sprintf("the taps %q are not understood", r.Taps), "write for each hole its name and how far it is from the far end of the run, as T1: 4.5, with + between two")
	}
	lining, ok := liningOf(r.Lining)
	if !ok {
		o.refuse(r, fmt.Sprintf("the lining %q is not understood", r.Lining), "write smooth for a hose whose wires are covered inside, or ribbed")
	}
	taper, ok := taperOf(r.Taper)
	if !ok {
		o.refuse(r, fmt.Sprintf("the taper %q is not understood", r.Taper), "write abrupt where the size changes in a step, or smooth")
	}
	if len(o.out) > before {
		return "", false
	}
	return rowOf(r, fittings, taps, downstream, lining, taper), true
}

func rowOf(r *Run, fittings []Fitting, taps []tap, downstream bool, lining, taper string) string {
	var bent, holes []string
	for _, x := range fittings {
		count := ""
		if x.Count > 1 {
			count = strconv.Itoa(x.Count)
		}
		what := ""
		if x.What != "" {
			what = edit.Scalar(x.What)
		}
		if x.Angle == "" {
			bent = append(bent, edit.Row("loss", plain(x.Loss), "count", count, "what", what))
			continue
		}
		bent = append(bent, edit.Row("elbow", x.Angle, "radius", cmp.Or(x.Radius, usualRadius), "count", count, "what", what))
	}
	for i, t := range taps {
		name := cmp.Or(t.name, "T-"+r.ID)
		if t.name == "" && i > 0 {
			name += "-" + strconv.Itoa(i+1)
		}
		holes = append(holes, edit.Scalar(name), plain(t.at))
	}
	gate := ""
	if r.Gate != "" {
		gate = edit.Scalar(r.Gate)
		if downstream {
			gate = edit.Row("id", gate, "at", "downstream")
		}
	}
	material := strings.ToLower(r.Material)
	if m, ok := materials[material]; ok && (material != "" || r.Roughness == "") {
		material = m
	}
	enters := strings.ToLower(strings.TrimSpace(r.Enters))
	if a := branchAngle.FindStringSubmatch(enters); a != nil {
		enters = a[1]
	}
	if enters == "straight on" || enters == "0" {
		enters = "straight"
	}
	diameter, width, height := plain(r.Size), "", ""
	if w, h, ok := SidesOf(r.Size); ok {
		diameter, width, height = "", plain(w), plain(h)
	}
	return edit.Row("id", edit.Scalar(r.ID), "into", edit.Scalar(cmp.Or(r.Into, "collector")), "enters", plain(enters), "diameter", diameter, "width", width, "height", height, "length", plain(r.Length),
		"material", plain(material), "roughness", plain(r.Roughness), "compressed", plain(r.Compressed), "lining", lining, "fittings", list(bent), "gate", gate, "taps", set(holes), "taper", taper)
}

// usualRadius is that of a bend, over its size, where nothing is said.
const usualRadius = "1.5"

func list(rows []string) string {
	if len(rows) == 0 {
		return ""
	}
	return "[" + strings.Join(rows, ", ") + "]"
}

func set(pairs []string) string {
	if len(pairs) == 0 {
		return ""
	}
	return edit.Row(pairs...)
}

// spoken is a word without what people write around it.
func spoken(text string) string {
	return strings.Join(strings.Fields(strings.NewReplacer("-", " ", "_", " ").Replace(strings.ToLower(text))), " ")
}

// liningOf is how the system file names the inside of a hose; "": as it does by itself.
func liningOf(text string) (string, bool) {
	switch spoken(text) {
	case "", "ribbed", "corrugated", "wire", "no", "none":
		return "", true
	case "smooth", "smooth bore", "smooth inside", "smooth wall", "smooth walled", "smooth lining", "lined", "yes":
		return "smooth", true
	}
	return "", false
}

func taperOf(text string) (string, bool) {
	switch spoken(text) {
	case "", "smooth", "gradual", "tapered", "taper", "cone", "no", "none":
		return "", true
	case "abrupt", "step", "stepped", "sudden":
		return "abrupt", true
	}
	return "", false
}

// branchAngle is the angle of a branch with its mark and with what such a join is
// called: 45, 45°, 45 wye.
var branchAngle = regexp.MustCompile(`^(?:(?:wye|y|lateral|tee) )?(\d+(?:\.\d+)?)[ -]?(?:°|deg|degrees?)? ?(?:wye|y|lateral|branch|tee)?$`)

// gateEnd is whether the gate of a run sits at its collector's end; not ok: the table
// doesn't say so for sure.
func gateEnd(r *Run, list []Run) (downstream, ok bool) {
	word := strings.NewReplacer("_", " ", "-", " ", "'s", "", "’s", "").Replace(strings.ToLower(r.GateAt))
	words := strings.Fields(word)
	for len(words) > 1 && (words[0] == "at" || words[0] == "the") {
		words = words[1:]
	}
	if n := len(words) - 1; n > 0 && (words[n] == "end" || words[n] == "side") {
		words = words[:n]
	}
	main := r.Into == "" || strings.EqualFold(r.Into, "collector")
	into, beside, hose := 0, 0, false // runs that flow into this one, or as it does; one of the first is a hose
	ofHose := isHose(r)
	for i := range list {
		x := &list[i]
		if strings.EqualFold(x.Into, r.ID) {
			into, hose = into+1, hose || isHose(x)
		}
		if strings.EqualFold(x.Into, r.Into) {
			beside++
		}
		ofHose = ofHose || strings.EqualFold(x.ID, r.Into) && isHose(x)
	}
	switch strings.Join(words, " ") {
	case "", "upstream", "machine", "tool":
		return false, true
	case "downstream", "collector", "dust collector":
		return true, true
	case "hose":
		return false, hose && !ofHose
	case "main": // there is one at that end if another run joins there
		return true, beside > 1 && !main
	case "wye", "join":
		return true, beside > 1 && into < 2 && !main // and not at the other end too
	}
	return false, false
}

func isHose(r *Run) bool {
	m := strings.ToLower(r.Material)
	return strings.Contains(m, "hose") || strings.Contains(m, "flex")
}

// plain writes a number with its unit without quotes, and other text so that it
// is read back.
func plain(text string) string {
	if text == "" {
		return ""
	}
	t := strings.Replace(text, ",", ".", 1)
	if i := strings.IndexFunc(t, func(r rune) bool { return !strings.ContainsRune("+-0123456789.", r) }); i > 0 {
		t = strings.TrimSpace(t[:i]) + " " + strings.TrimSpace(t[i:])
	}
	number, unit, _ := strings.Cut(t, " ")
	if _, err := strconv.ParseFloat(number, 64); err == nil && !strings.ContainsAny(unit, "{}[]:#,&*!|>'\"@`\n") {
		return t
	}
	return edit.Scalar(text)
}
