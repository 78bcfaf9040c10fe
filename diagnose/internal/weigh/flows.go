package weigh

import (
	"math"

	"lostair/diagnose/internal/fit"
)

// Leading are the sets that matter for estimates.
func (p *Posterior) Leading() (sets []*fit.Fit, weight []float64) {
	var total float64
	for i, f := range p.Sets {
		if len(sets) >= 8 || (len(sets) > 0 && p.Weight[i] < 0.01) {
			break
		}
		sets, weight = append(sets, f), append(weight, p.Weight[i])
		total += p.Weight[i]
	}
	for i := range weight {
		weight[i] /= math.Max(total, 1e-300)
	}
	return sets, weight
}
