package guided

import (
	"strings"

	"lostair/diagnose/duct"
	"lostair/readings/units"
	"lostair/report/figure"
)

// Path draws the way from the collector to a point, a line a duct.
func Path(sys *duct.System, point string) []string {
	d, here := -1, ""
	if i, t, ok := sys.TapAt(point); ok {
		d, here = i, point+", "+units.Format(sys.Ducts[i].Taps[t].Distance, units.Length, sys.Units)+" from the far end"
	} else if i, ok := sys.PortNamed(point); ok {
		d, here = sys.Ports[i].Duct, point
	} else {
		for i := range sys.Ducts {
			if sys.Ducts[i].ID == point || sys.Ducts[i].Gate == point {
				d, here = i, point
			}
		}
	}
	if d < 0 {
		return []string{"collector  <== " + place(sys, point, nil)}
	}
	var way []int
	for i := d; i >= 0; i = sys.Ducts[i].Into {
		way = append([]int{i}, way...)
	}
	out := []string{"collector"}
	for n, i := range way {
		x := &sys.Ducts[i]
		line := strings.Repeat("   ", n) + "`- " + x.ID + "  " + figure.Across(x, sys.Units)
		if x.Gate != "" {
			line += "  gate " + x.Gate
		}
		if i == d {
			line += "  <== " + here
		}
		out = append(out, line)
	}
	return out
}
