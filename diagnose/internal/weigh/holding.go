package weigh

import (
	"slices"

	"lostair/diagnose/internal/fit"
)

// inSet is whether a set of a world holds something.
type inSet func(w *World, f *fit.Fit) bool

// written is what was written down wrong.
func (p *Posterior) written(key string) inSet {
	return func(w *World, _ *fit.Fit) bool { return w.holds(key) }
}

// named is a fault, or a duct whose losses aren't what they should be.
func named(name string) inSet {
	return func(w *World, f *fit.Fit) bool { return slices.Contains(w.names(f), name) }
}

// besideMost is the share of the less likely of two things from which on it comes
// beside the other, and does not stand for it.
const besideMost = 0.5

// goesWith is whether the less likely of two things mostly comes with the other: then
// both are there, and neither stands for the other.
func (p *Posterior) goesWith(a, b inSet) bool {
	var of, with, both float64
	for _, w := range p.worlds() {
		for i, f := range w.p.Sets {
			weight := w.weight * w.p.Weight[i]
			inA, inB := a(w, f), b(w, f)
			if inA {
				of += weight
			}
			if inB {
				with += weight
			}
			if inA && inB {
				both += weight
			}
		}
	}
	return both > besideMost*min(of, with)
}

// held is a set of a world that says something was written wrong.
type held struct {
	names []string
	fits  float64
}

func (p *Posterior) holding(key string) []held {
	var out []held
	for _, w := range p.worlds() {
		if !w.holds(key) {
			continue
		}
		for i, f := range w.p.Sets {
			if w.weight*w.p.Weight[i] >= 0.05*p.most() {
				out = append(out, held{w.names(f), w.fits(f)})
			}
		}
	}
	return out
}

// most is the weight of the likeliest set of all.
func (p *Posterior) most() float64 {
	var out float64
	for _, w := range p.worlds() {
		for i := range w.p.Sets {
			out = max(out, w.weight*w.p.Weight[i])
		}
	}
	return out
}

// without lists what of a is not in b.
func without(a, b []string) []string {
	var out []string
	for _, x := range a {
		if !slices.Contains(b, x) {
			out = append(out, x)
		}
	}
	return out
}
