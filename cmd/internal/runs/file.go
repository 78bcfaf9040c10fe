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

// Onto adds the runs of a table, with their machines, to a system file. What can't
// be understood is a problem of the table; the values themselves are check's to judge.
func Onto(f *edit.File, list []Run, table string) (*edit.File, problem.List) {
	var out problem.List
	var changes []edit.Change
	ducts, ports := len(f.Root.Get("ducts").Rows), len(f.Root.Get("ports").Rows)
	for _, r := range list {
		bends, ok := BendsOf(r.Bends)
		if !ok {
			out = append(out, problem.Problem{File: table, Sheet: r.Sheet, Line: r.Line, What: fmt.Sprintf("run %q: the bends %q are not understood", r.ID, r.Bends), Do: "write how many right-angled ones, or angles such as 2x90 + 45"})
			continue
		}
		downstream, ok := gateEnd(&r, list)
		if !ok {
			out = append(out, problem.Problem{File: table, Sheet: r.Sheet, Line: r.Line, What: fmt.Sprintf("run %q: the gate_at %q doesn't say for sure which end of the run has the gate", r.ID, r.GateAt), Do: "write upstream for the machine's end of the run, or downstream for the collector's end"})
			continue
		}
		changes = append(changes, edit.Insert(edit.At("ducts", ducts), rowOf(&r, bends, downstream)))
		ducts++
		if r.Machine != "" {
			changes = append(changes, edit.Insert(edit.At("ports", ports), edit.Row("id", edit.Scalar(r.Machine), "duct", edit.Scalar(r.ID), "hood", plain(cmp.Or(r.Hood, UsualHood)), "need", plain(r.Need))))
			ports++
		}
	}
	if out.Err() != nil {
		return nil, out
	}
	g, err := f.Apply(changes...)
	if err != nil {
		return nil, problem.List{{File: table, What: "the table can't be put into the system file: " + err.Error()}}
	}
	return g, nil
}

func rowOf(r *Run, bends []Bend, downstream bool) string {
	var fittings []string
	for _, b := range bends {
		count := ""
		if b.Count > 1 {
			count = strconv.Itoa(b.Count)
		}
		fittings = append(fittings, edit.Row("elbow", b.Angle, "radius", "1.5", "count", count))
	}
	bent := ""
	if len(fittings) > 0 {
		bent = "[" + strings.Join(fittings, ", ") + "]"
	}
	gate := ""
	if r.Gate != "" {
		gate = edit.Scalar(r.Gate)
		if downstream {
			gate = edit.Row("id", gate, "at", "downstream")
		}
	}
	material := strings.ToLower(r.Material)
	if m, ok := materials[material]; ok {
		material = m
	}
	enters := strings.ToLower(strings.TrimSpace(r.Enters))
	if a := branchAngle.FindStringSubmatch(enters); a != nil {
		enters = a[1]
	}
	if enters == "straight on" || enters == "0" {
		enters = "straight"
	}
	return edit.Row("id", edit.Scalar(r.ID), "into", edit.Scalar(cmp.Or(r.Into, "collector")), "enters", plain(enters), "diameter", plain(r.Size), "length", plain(r.Length),
		"material", plain(material), "fittings", bent, "gate", gate)
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
	if _, err := strconv.ParseFloat(number, 64); err == nil && !strings.ContainsAny(unit, "{}[]:#,&*!|>'\"%@`\n") {
		return t
	}
	return edit.Scalar(text)
}

// Of lists the runs of a system file, as far as a table can hold them.
func Of(root edit.Value) []Run {
	var out []Run
	ports := root.Get("ports").Rows
	for _, d := range root.Get("ducts").Rows {
		r := Run{ID: d.Get("id").Text, Into: d.Get("into").Text, Enters: cmp.Or(d.Get("enters").Text, "straight"), Size: d.Get("diameter").Text,
			Length: d.Get("length").Text, Material: d.Get("material").Text, Bends: bendCell(d.Get("fittings"))}
		if g := d.Get("gate"); g.Form == edit.Keyed {
			r.Gate, r.GateAt = g.Get("id").Text, g.Get("at").Text
		} else {
			r.Gate = g.Text
		}
		for _, p := range ports {
			if p.Get("duct").Text == r.ID && r.ID != "" {
				r.Machine, r.Need, r.Hood = p.Get("id").Text, p.Get("need").Text, p.Get("hood").Text
			}
		}
		out = append(out, r)
	}
	return out
}

func bendCell(v edit.Value) string {
	var parts []string
	for _, f := range v.Rows {
		if !f.Has("elbow") {
			continue
		}
		parts = append(parts, cmp.Or(f.Get("count").Text, "1")+"x"+f.Get("elbow").Text)
	}
	return strings.Join(parts, " + ")
}
