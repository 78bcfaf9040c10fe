package weigh

import (
	"math"
	"slices"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/doubt"
	"lostair/diagnose/internal/fit"
)

// worlds are all that a posterior is made of, its own first.
func (p *Posterior) worlds() []*World {
	if p.Lead == nil {
		return []*World{{p: p, weight: 1}}
	}
	return append([]*World{p.Lead}, p.Others...)
}

// holds says whether a world has something written wrong.
func (w *World) holds(key string) bool {
	return w.R != nil && slices.ContainsFunc(w.R.Said, func(s fault.Written) bool { return s.Key() == key })
}

// names are the faults of a set, in order.
func (w *World) names(f *fit.Fit) []string {
	var out []string
	for _, v := range f.Faults {
		if n := siteName(w.p.G.Sites[v.Site]); !slices.Contains(out, n) {
			out = append(out, n)
		}
	}
	slices.Sort(out)
	return out
}

func siteName(s *fault.Site) string { return s.Kind.String() + " " + s.Where }

// fits is how well a set of a world fits the readings, whatever its prior.
func (w *World) fits(f *fit.Fit) float64 {
	out := doubt.ReadingsAlone(f)
	if w.R != nil {
		out += w.off - math.Log(w.R.Prior)
	}
	return out
}

// told is an entry with what the fit says of its amount.
func (w *World) told(e fault.Written) fault.Written {
	if w.R.Measure != nil {
		w.R.Measure(w.p.G.S, w.p.Sets[0], &e)
	}
	return e
}

// places are where places of the leading world stand in this one.
func (w *World) places(sites []int) []int {
	if w.site == nil {
		return sites
	}
	var out []int
	for _, i := range sites {
		if w.site[i] >= 0 {
			out = append(out, w.site[i])
		}
	}
	return out
}
