package doubt

import (
	"math"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/search"
)

// baselineMistakes: the baseline is of another system, or of this one before it
// was rebuilt: nothing is known but the page.
func (x *Setup) baselineMistakes(g *search.Search) []*Mistake {
	if len(x.Bases) == 0 {
		return nil
	}
	r := &Mistake{Prior: AnotherPrior, effect: func(*base) []float64 { return nil }, Turn: func(in *Inputs, _ float64) { in.Bases = nil }}
	for _, b := range x.Bases {
		r.Said = append(r.Said, fault.Written{Kind: fault.WrongBaseline, Where: b.Survey.File, Reason: "another"})
	}
	r.preset = x.withoutBaseline(g) + math.Log(AnotherPrior)
	return []*Mistake{r}
}

// seasonMistakes: the last baseline was taken in other air, so that all pressures
// stood higher or lower by one share while the flows were the same. A day's weather
// is in every survey; from winter to summer it is several times that.
func (x *Setup) seasonMistakes() []*Mistake {
	if len(x.Bases) == 0 {
		return nil
	}
	last := x.Bases[len(x.Bases)-1]
	if x.Survey.Denser != 0 && last.Denser != 0 {
		return nil // both tell
	}
	return []*Mistake{{Said: []fault.Written{{Kind: fault.WrongBaseline, Where: last.Survey.File, Reason: fault.OtherAir}}, Prior: SeasonPrior, Spread: SeasonSpread, light: true,
		effect: func(b *base) []float64 {
			e := make([]float64, len(b.s.Observation))
			for i := range e {
				o := &b.s.Observation[i]
				e[i] = -o.Y * fit.DensityPower(o)
			}
			return e
		},
		Turn: func(*Inputs, float64) {},
		Loosen: func(s *fit.Study) {
			for i := range s.Observation {
				o := &s.Observation[i]
				o.Air = SeasonSpread * fit.DensityPower(o)
			}
		}}}
}

// withoutBaseline is what the leading sets Promise if nothing is known but the page.
func (x *Setup) withoutBaseline(g *search.Search) float64 {
	s := fit.NewStudy(x.M, x.U, x.L, x.Survey, fit.Prior{Mean: make([]float64, x.L.N), Scale: 1})
	best := math.Inf(-1)
	for k, f := range g.All {
		if k == basesMost {
			break
		}
		at := s.Before()
		at.Z = f.At.Z
		if y := s.Linearised(f.Hypothesis, at); y.Ok() {
			best = max(best, y.Evidence+f.Prior)
		}
	}
	return best + withoutSlack
}

// withoutSlack is what a fit may gain beyond that, in nats.
const withoutSlack = 4.0
