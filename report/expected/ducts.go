package expected

import (
	"fmt"
	"math"
	"strings"

	"lostair/diagnose/duct"
	"lostair/readings/units"
	"lostair/report/show"
)

// Ducts draws the system as it was understood, a line a duct from the collector on: what
// each is, how it joins, where its gate sits, and what draws air at its end.
func Ducts(sys *duct.System) []string {
	t := ductTree{sys: sys, of: map[int][]int{}}
	for i := range sys.Ducts {
		t.of[sys.Ducts[i].Into] = append(t.of[sys.Ducts[i].Into], i)
	}
	t.out = []string{"collector  " + t.collector()}
	t.branch(duct.IntoCollector, "")
	for i := range sys.Machines {
		t.out = append(t.out, t.machine(&sys.Machines[i]))
	}
	for i := range sys.Ducts {
		if d, n := &sys.Ducts[i], len(t.of[i]); n >= manyMeet && d.Length >= longRun*d.Diameter {
			t.out = append(t.out, fmt.Sprintf("%d ducts meet at the far end of %s; if they join along it, split %s where each does.", n, d.ID, d.ID))
		}
	}
	return t.out
}

// From so many ducts on that meet at one end, and from so many diameters of length on,
// it is asked whether they do not join along the way. Own choice.
const manyMeet, longRun = 3, 15

type ductTree struct {
	sys *duct.System
	of  map[int][]int // ducts by that they flow into, in file order
	out []string
}

func (t *ductTree) collector() string {
	k := &t.sys.Collector
	said := []string{units.Format(k.Inlet, units.Diameter, t.sys.Units) + " inlet"}
	for _, p := range k.Order {
		said = append(said, p.String())
	}
	if k.Bin {
		said = append(said, "a sealed bin")
	}
	return strings.Join(said, ", ")
}

func (t *ductTree) branch(into int, indent string) {
	list := t.of[into]
	for n, i := range list {
		lead, more := "|- ", "|  "
		if n == len(list)-1 {
			lead, more = "`- ", "   "
		}
		t.out = append(t.out, indent+lead+t.sys.Ducts[i].ID+"  "+t.line(i, len(list) > 1))
		t.branch(i, indent+more)
	}
}

// line says what a duct is.
func (t *ductTree) line(i int, joins bool) string {
	d, u := &t.sys.Ducts[i], t.sys.Units
	said := []string{t.size(d), units.Format(d.Length, units.Length, u) + " " + t.wall(d)}
	for _, f := range d.Fittings {
		said = append(said, fitting(f))
	}
	switch {
	case joins && d.Straight:
		said = append(said, "joins straight")
	case joins:
		said = append(said, "joins at "+degrees(d.Angle))
	case d.Into >= 0 && t.size(d) != t.size(&t.sys.Ducts[d.Into]):
		change := "a taper to "
		if d.Abrupt {
			change = "a step to "
		}
		said = append(said, change+t.size(&t.sys.Ducts[d.Into]))
	}
	if d.Gate != "" {
		end := "upstream"
		if d.GateDown {
			end = "downstream"
		}
		said = append(said, "gate "+d.Gate+" "+end)
	}
	for _, x := range d.Taps {
		said = append(said, "tap "+x.ID+" at "+units.Format(x.Distance, units.Length, u))
	}
	if d.Port >= 0 {
		said = append(said, t.port(&t.sys.Ports[d.Port]))
	}
	return strings.Join(said, "; ")
}

func (t *ductTree) size(d *duct.Duct) string {
	if d.Rectangular() {
		return units.FormatBare(d.Width, units.Diameter, t.sys.Units) + " x " + units.Format(d.Height, units.Diameter, t.sys.Units)
	}
	return units.Format(d.Diameter, units.Diameter, t.sys.Units)
}

func (t *ductTree) wall(d *duct.Duct) string {
	out := d.Material
	if out == "" {
		out = "of roughness " + units.Format(d.Roughness, units.Roughness, t.sys.Units)
	}
	if d.Lined {
		out += " with a smooth lining"
	}
	if d.Compressed > 0 {
		out += ", " + units.Format(d.Compressed, units.Share, t.sys.Units) + " shorter than stretched out"
	}
	return out
}

func fitting(f duct.Fitting) string {
	text := fmt.Sprintf("loss %.3g", f.Loss)
	if f.Elbow {
		text = "bend of " + degrees(f.Angle)
	}
	if f.What != "" {
		text += " (" + f.What + ")"
	}
	if f.Count > 1 {
		text = fmt.Sprintf("%d times ", f.Count) + text
	}
	return text
}

func degrees(rad float64) string { return fmt.Sprintf("%.3g degrees", rad*180/math.Pi) }

// machine says which ports serve one that has several.
func (t *ductTree) machine(x *duct.Machine) string {
	var ids []string
	for _, p := range x.Ports {
		ids = append(ids, t.sys.Ports[p].ID)
	}
	what := "ports "
	if len(ids) == 1 {
		what = "port "
	}
	return "machine " + x.ID + "  " + what + show.Listed(ids) + "; needs " + units.Format(x.Need, units.Flow, t.sys.Units) + " through them together"
}

// port says what draws air there.
func (t *ductTree) port(p *duct.Port) string {
	u := t.sys.Units
	said := []string{"port " + p.ID}
	if p.Machine != "" && p.Machine != p.ID {
		said[0] += " (" + p.Machine + ")"
	}
	switch o := p.Opening; {
	case o == nil:
	case o.Diameter > 0:
		said = append(said, "opening "+units.Format(o.Diameter, units.Diameter, u))
	default:
		said = append(said, "opening "+units.FormatBare(o.Width, units.Diameter, u)+" x "+units.Format(o.Height, units.Diameter, u))
	}
	if p.Hood != "" {
		said = append(said, "hood "+p.Hood)
	} else {
		said = append(said, fmt.Sprintf("hood %.3g", p.Loss))
	}
	switch {
	case p.Shares:
		said = append(said, "its share of its machine's need "+units.Format(p.Need, units.Flow, u))
	case p.Need > 0:
		said = append(said, "needs "+units.Format(p.Need, units.Flow, u))
	}
	return show.Commas(said)
}
