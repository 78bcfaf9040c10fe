package verify

import (
	"math"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/readings"
	"lostair/readings/units"
)

// judged turns a probability into an outcome.
func judged(holds float64) Outcome {
	switch {
	case holds >= DecidedAt:
		return Pass
	case holds <= 1-DecidedAt:
		return Fail
	}
	return NotShown
}

// mix gathers what the leading sets say of one quantity.
type mix struct {
	numeric.Mixture
	form float64 // what the model's form may be off, as a share
}

func (x *mix) take(weight float64, e fit.Estimate) {
	x.Add(weight, e.Mean, math.Hypot(e.Sd, x.form*e.Mean))
}

func (x *mix) interval() fault.Interval {
	return fault.Interval{Value: x.Quantile(0.5), Low: x.Quantile(0.05), High: x.Quantile(0.95)}
}

// between is the probability that the quantity lies there; most 0: no upper end.
func (x *mix) between(least, most float64) float64 {
	p := 1 - x.Cdf(least)
	if most != 0 {
		p -= 1 - x.Cdf(most)
	}
	return numeric.ClampProbability(p)
}

// lineOf judges a quantity.
func lineOf(t Topic, where string, open readings.Open, d units.Dimension, x *mix, least, most float64) Line {
	l := Line{Topic: t, Where: where, Open: open, Dimension: d, Value: x.interval(), Least: least, Most: most}
	l.Holds = x.between(least, most)
	l.Outcome = judged(l.Holds)
	return l
}

// certainty is a line about a probability, which is all that is known of it.
func certainty(t Topic, where string, p float64) Line {
	p = numeric.ClampProbability(p)
	return Line{Topic: t, Where: where, Dimension: units.Share, Least: DecidedAt, Holds: p, Outcome: judged(p),
		Value: fault.Interval{Value: p, Low: p, High: p}}
}
