package doubt

import (
	"math"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/search"
)

// Mistakes lists what may have been written down wrong. Where the system by its
// page, or as it is known from the baselines, shows what was read there is nothing.
func (x *Setup) Mistakes(g *search.Search, k *search.Learned) []*Mistake {
	page := Page(g)
	if page == nil || allNought(g) {
		return nil
	}
	if soundWillDo(g) && !strained(page.Detail, len(g.S.Observation)) && !strainedAsUsual(g.S) {
		if x.Job == fault.NewInstall {
			return x.pageMistakes(g)
		}
		return x.ofBaselines(g, k)
	}
	var out []*Mistake
	out = append(out, x.gateMistakes(g)...)
	out = append(out, x.columnMistakes(g, page)...)
	out = append(out, x.instrumentMistakes(g)...)
	out = append(out, x.offsetMistakes(g)...)
	out = append(out, x.tapMistakes(g)...)
	out = append(out, x.pageMistakes(g)...)
	out = append(out, x.baselineMistakes(g)...)
	out = append(out, x.seasonMistakes()...)
	return out
}

// ofBaselines are the mistakes of a survey that goes with its baselines, where
// these don't go with the page: mistakes that both have.
func (x *Setup) ofBaselines(g *search.Search, k *search.Learned) []*Mistake {
	if !BaselineStrained(k) {
		return nil
	}
	var out []*Mistake
	for _, r := range append(x.tapMistakes(g), x.pageMistakes(g)...) {
		if r.page {
			out = append(out, r)
		}
	}
	return out
}

// BaselineStrained says whether the last baseline lies further off the page than it should.
func BaselineStrained(k *search.Learned) bool {
	if k.Last == nil || len(k.Last.S.Observation) == 0 {
		return false
	}
	s := k.Last.S.Twin()
	s.PriorScale, s.NoiseScale = 1, 1 // what it has been taken for since may hide it
	return strainedAt(s)
}

func strainedAt(s *fit.Study) bool {
	b := baseOf(s, nil, s.Before(), 0)
	return b != nil && strained(b.f.Fit, len(s.Observation))
}

// strainedAsUsual says whether a survey lies further off the page than it should
// with the usual spread and errors, where it has been given more.
func strainedAsUsual(s *fit.Study) bool {
	t := asUsual(s)
	return t != nil && strainedAt(t)
}

// strained says whether readings lie further off what was known than they should.
func strained(d *fit.Detail, m int) bool { return d.Quad > float64(m)+2*math.Sqrt(2*float64(m)) }
