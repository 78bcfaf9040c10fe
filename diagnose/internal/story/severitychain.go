package story

import "math"

// bell is a normal density in a severity's z, or a likelihood of that form.
type bell struct{ mean, prec float64 }

// seen is what one survey says of one fault: the logarithm of its Bayes factor
// with the severity's usual prior, and the likelihood of the severity.
type seen struct {
	known bool
	gain  float64
	about bell
}

// seenBy turns a fit into what it says: z and sd are the posterior of the
// severity under the prior usual.
func seenBy(gain, z, sd float64, usual bell) seen {
	prec := 1/(sd*sd) - usual.prec
	if prec <= 1e-6*usual.prec { // the survey says nothing of the severity
		return seen{known: true, gain: gain}
	}
	mean := (z*(prec+usual.prec) - usual.mean*usual.prec) / prec
	return seen{known: true, gain: gain, about: bell{mean, prec}}
}

// under is the logarithm of the Bayes factor with another prior of the severity,
// and the severity's posterior with it. For a likelihood of precision λ about μ
// and a prior N(m, v) the marginal is proportional to
//
//	(1 + λv)^−½ · exp(−½ λ(μ−m)²/(1 + λv))
func (s seen) under(usual, prior bell) (gain float64, after bell) {
	if s.about.prec == 0 {
		return s.gain, prior
	}
	of := func(p bell) float64 {
		r := 1 + s.about.prec/p.prec
		d := s.about.mean - p.mean
		return -0.5*math.Log(r) - 0.5*s.about.prec*d*d/r
	}
	sum := prior.prec + s.about.prec
	return s.gain + of(prior) - of(usual), bell{(prior.mean*prior.prec + s.about.mean*s.about.prec) / sum, sum}
}

// drifted is where a severity is a survey later: its variance has grown by that
// of a step.
func (b bell) drifted(step float64) bell { return bell{b.mean, 1 / (1/b.prec + step*step)} }

// steps are how far a severity may move from one survey to the next, in its z:
// hardly, or much. Own choice: a hole stays as it is, a filter loads.
var steps = [...]float64{0.07, 0.45}
