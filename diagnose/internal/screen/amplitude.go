package screen

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// LogOdds is the log of the odds of a probability.
func LogOdds(p float64) float64 { return math.Log(p / (1 - p)) }

// Tau2 is the spread of an amplitude about 1, squared.
const Tau2 = 0.8 * 0.8

// Amplitude is the likeliest a of a·d where ln a ~ N(0, τ²), with g and w as
// for AmplitudeGain. It is where a fit had best start.
func Amplitude(g, w float64) float64 {
	lo, hi := -farthest, farthest
	for range 20 {
		l := (lo + hi) / 2
		if a := math.Exp(l); a*g-a*a*w-l/Tau2 > 0 {
			lo = l
		} else {
			hi = l
		}
	}
	return math.Exp(lo)
}

// farthest from 1 that an amplitude is looked for, as a logarithm.
const farthest = 2.

// AmplitudeGain is the log Bayes factor for adding a·d to the expectation with
// a ~ N(1, τ²), where g = dᵀS⁻¹r and w = dᵀS⁻¹d.
func AmplitudeGain(g, w float64) float64 {
	b := g + 1/Tau2
	if b <= 0 {
		b = 0
	}
	return 0.5*b*b/(w+1/Tau2) - 0.5/Tau2 - 0.5*math.Log(1+w*Tau2)
}

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
