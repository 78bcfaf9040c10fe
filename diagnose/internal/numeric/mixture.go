package numeric

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Mixture is a mixture of normals; quantiles come by bisection.
type Mixture struct{ W, Mean, Sd []float64 }

func (n *Mixture) Add(w, mean, sd float64) {
	n.W, n.Mean, n.Sd = append(n.W, w), append(n.Mean, mean), append(n.Sd, math.Max(sd, 1e-12))
}

func (n *Mixture) Cdf(x float64) float64 {
	var s, t float64
	for i, w := range n.W {
		s += w * distuv.UnitNormal.CDF((x-n.Mean[i])/n.Sd[i])
		t += w
	}
	return s / t
}

func (n *Mixture) Quantile(q float64) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := range n.W {
		lo, hi = math.Min(lo, n.Mean[i]-8*n.Sd[i]), math.Max(hi, n.Mean[i]+8*n.Sd[i])
	}
	for range 60 {
		m := (lo + hi) / 2
		if n.Cdf(m) < q {
			lo = m
		} else {
			hi = m
		}
	}
	return (lo + hi) / 2
}
