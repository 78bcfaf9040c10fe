package next

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
)

// nodes of Gauss–Hermite quadrature.
const nodes = 7

// information is the mutual information in bits between the class of the
// hypothesis and a reading that is normal under each rival.
func information(r []rival, mean, sd []float64) float64 {
	x, w := make([]float64, nodes), make([]float64, nodes)
	quad.Hermite{}.FixedLocations(x, w, math.Inf(-1), math.Inf(1))
	share := make([]float64, classes(r))
	for _, v := range r {
		share[v.class] += v.weight
	}
	byClass := make([]float64, len(share))
	var bits float64
	for k := range r {
		for j := range x {
			y := mean[k] + math.Sqrt2*sd[k]*x[j]
			clear(byClass)
			var all float64
			for l := range r {
				z := (y - mean[l]) / sd[l]
				d := r[l].weight * math.Exp(-0.5*z*z) / sd[l]
				byClass[r[l].class] += d
				all += d
			}
			own := byClass[r[k].class] / share[r[k].class]
			if own > 0 && all > 0 {
				bits += r[k].weight * w[j] / math.SqrtPi * math.Log2(own/all)
			}
		}
	}
	return math.Max(bits, 0)
}

// lookBits is what a look with two outcomes is expected to tell of the class of
// the hypothesis, in bits.
func lookBits(rivals []rival, speaks []float64) float64 {
	seen := make([]float64, classes(rivals))
	share := make([]float64, classes(rivals))
	var yes float64
	for k, x := range rivals {
		seen[x.class] += x.weight * speaks[k]
		share[x.class] += x.weight
		yes += x.weight * speaks[k]
	}
	h := entropy2(yes)
	for c, s := range share {
		if s > 0 {
			h -= s * entropy2(seen[c]/s)
		}
	}
	return math.Max(h, 0)
}

func entropy2(p float64) float64 {
	if p <= 0 || p >= 1 {
		return 0
	}
	return -p*math.Log2(p) - (1-p)*math.Log2(1-p)
}
