package diagnose

import "sort"

// effort is how many minutes a fix takes about, by its cost. Common practice, no
// source.
var effort = [...]float64{1, costMinutes: 15, costHour: 60, costParts: 240, costRebuild: 2400}

// inOrder puts the fixes into the order to do them: by the shortage that each
// cures for its effort, then by the air that it brings for its effort.
func inOrder(r *Result) {
	sort.SliceStable(r.Fixes, func(a, b int) bool {
		x, y := r.Fixes[a], r.Fixes[b]
		if cx, cy := cured(x)/effort[x.Cost], cured(y)/effort[y.Cost]; cx != cy {
			return cx > cy
		}
		if gx, gy := gained(x)/effort[x.Cost], gained(y)/effort[y.Cost]; gx != gy {
			return gx > gy
		}
		return x.Cost < y.Cost
	})
}

// cured is how much of what ports lack a fix brings them, m³/s.
func cured(f Fix) float64 {
	var out float64
	for _, g := range f.Gains {
		out += max(min(g.After.Value, g.Need)-g.Before, 0)
	}
	return out
}

// gained is a fix's total gain in flow, m³/s.
func gained(f Fix) float64 {
	var g float64
	for _, x := range f.Gains {
		g += x.After.Value - x.Before
	}
	return g
}

// widened puts what a port gets with what is to be bought among the gains.
func widened(out []Gain, t TooSmall, now []PortFlow) []Gain {
	if !t.Meets { // it is not proposed
		return out
	}
	for i := range out {
		if out[i].Port == t.Port && out[i].Open.String() == t.Open.String() {
			out[i].After = t.Then
			return out
		}
	}
	g := Gain{Port: t.Port, Open: t.Open, Before: t.Now.Value, After: t.Then, Need: t.Need}
	for _, p := range now {
		if p.Port == t.Port && p.Open.String() == t.Open.String() {
			g.Before = p.Flow.Value
		}
	}
	return append(out, g)
}
