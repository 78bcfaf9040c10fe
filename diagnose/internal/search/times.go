package search

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Times is how many times what a typical fault does a fault that was only
// screened does: normal, by the same linear look that rates it.
type Times struct{ Mean, Sd float64 }

// timesOf is that with g and w as for AmplitudeGain.
func timesOf(g, w float64) Times {
	of := w + 1/Tau2
	return Times{max(g+1/Tau2, 0) / of, 1 / math.Sqrt(of)}
}

// Above is the probability that it does more than so many times that.
func (t Times) Above(times float64) float64 {
	if t.Sd == 0 {
		return 1 // not known
	}
	return distuv.UnitNormal.CDF((t.Mean - times) / t.Sd)
}
