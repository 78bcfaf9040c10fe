package weigh

import (
	"math"

	"lostair/diagnose/internal/fit"
)

// The probability below which a set matters little for estimates.
const (
	leadLeast  = 0.01
	leadOfMany = 0.1
)

// Leading are the sets that matter for estimates.
func (p *Posterior) Leading() (sets []*fit.Fit, weight []float64) {
	var total float64
	least := leadLeast
	if p.Whole != nil || len(p.G.S.M.Sys.Ports) > portsLookedAt {
		least = leadOfMany // each costs a look at every port of a large plant
	}
	for i, f := range p.Sets {
		if len(sets) >= 8 || (len(sets) > 0 && p.Weight[i] < least) {
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

// Conditioners are one for each of the leading sets, for the use of a worker.
func (p *Posterior) Conditioners(worker int) []*Conditioner {
	told := &p.told[worker]
	if *told == nil {
		sets, _ := p.Leading()
		for _, f := range sets {
			*told = append(*told, p.Whole.Under(p.G.Workers()[worker], f))
		}
	}
	return *told
}
