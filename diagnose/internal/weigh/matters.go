package weigh

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/screen"
)

// What matters: that some joint among a thousand seeps a little is no news. A
// fault matters if it takes so much of a port's air in a setting in use, or if
// the readings speak for it.
const (
	MattersFrom = 0.05 // share of a port's air
	SpokenFor   = 10.0 // times as probable with it as without it
)

// matters weighs whether the faults of an explanation do.
type matters struct {
	p      *Posterior
	air    airLost
	sound  float64 // log evidence of the best explanation without a fault
	known  map[*fit.Fit]float64
	closer map[*fit.Fit]bool // those whose severities are worth a look
}

// Broken is the probability that something that matters is broken, or that the
// system is not as given.
func (p *Posterior) Broken() float64 {
	if p.Lead == nil {
		return p.brokenAlone(p.Unlisted)
	}
	return math.Min(p.Lead.over(func(w *World) float64 { return w.p.brokenAlone(w.unlisted) }, p.Others), 1)
}

// Mistaken is the probability of that, or that something was written down wrong.
func (p *Posterior) Mistaken() float64 {
	if p.Lead == nil {
		return p.Broken()
	}
	return math.Min(p.Lead.over(func(w *World) float64 {
		if w.R != nil {
			return 1
		}
		return w.p.brokenAlone(w.unlisted)
	}, p.Others), 1)
}

// brokenAlone is Broken in its own world, the unlisted being so likely in it.
func (p *Posterior) brokenAlone(unlisted float64) float64 {
	m := &matters{p: p, air: p.airLostOf(), sound: math.Inf(-1), known: map[*fit.Fit]float64{}, closer: map[*fit.Fit]bool{}}
	for i, f := range p.Sets {
		if !fault.Broken(f.Faults) {
			m.sound = math.Max(m.sound, f.Score())
		}
		m.closer[f] = p.Weight[i] >= weighedLeast
	}
	sum := unlisted
	for i, f := range p.Sets {
		sum += p.Weight[i] * m.of(f)
	}
	for i := range p.G.Rest {
		if p.Rest[i] > 0 {
			sum += p.Rest[i] * m.screened(&p.G.Rest[i])
		}
	}
	return math.Min(sum, 1)
}

// weighedLeast is the probability from which the severities of a set are weighed.
const weighedLeast = 1e-4

// evidence is that of an explanation with its wrong rows, without the prior of its faults.
func (m *matters) evidence(f *fit.Fit) float64 {
	v := f.Score()
	for _, x := range f.Faults {
		if x.Kind == fault.Altered {
			continue
		}
		v -= screen.LogOdds(m.p.G.Sites[x.Site].Prior) + math.Log(x.Weight)
	}
	return v
}

// of is the probability that a fault of a set matters.
func (m *matters) of(f *fit.Fit) float64 {
	if !fault.Broken(f.Faults) {
		return 0
	}
	if v, ok := m.known[f]; ok {
		return v
	}
	v := 1.0
	if m.evidence(f) < m.sound+float64(len(f.Faults))*math.Log(SpokenFor) {
		none := 1.0
		for k := range f.Faults {
			none *= 1 - m.fault(f, k)
		}
		v = 1 - none
	}
	m.known[f] = v
	return v
}

// fault is the probability that the k-th fault of a set takes enough air.
func (m *matters) fault(f *fit.Fit, k int) float64 {
	v := f.Faults[k]
	if v.Kind == fault.Altered {
		return 0
	}
	times := MattersFrom / math.Max(m.air[v], 1e-9)
	if times > mostTimes {
		return 0
	}
	z, sd := f.At.Z[k], v.Usual().Sd
	if m.closer[f] && f.Fit != nil {
		z, sd = m.p.G.S.SeverityAt(f, k)
	}
	off := (z - v.Doing(times)) / math.Max(sd, 1e-9)
	if v.Amount(z+0.1) < v.Amount(z) {
		off = -off
	}
	return distuv.UnitNormal.CDF(off)
}

// mostTimes is more than any fault does of what a typical one does.
const mostTimes = 50

// screened is the probability that a fault of what was only screened matters.
func (m *matters) screened(x *screen.Idea) float64 {
	if !fault.Broken(x.Faults) {
		return 0
	}
	before := 0.0
	if x.From != nil {
		before = m.of(x.From)
	}
	if x.From == nil || len(x.Faults) == len(x.From.Faults) {
		return math.Max(before, m.times(x))
	}
	if x.Faults[len(x.Faults)-1].Kind == fault.Altered {
		return before
	}
	if x.Score-x.Prior-x.From.Evidence > math.Log(SpokenFor) {
		return 1
	}
	return 1 - (1-before)*(1-m.times(x))
}

// times is the probability that the fault last added takes enough air.
func (m *matters) times(x *screen.Idea) float64 {
	return x.Times.Above(MattersFrom / math.Max(m.air[x.Faults[len(x.Faults)-1]], 1e-9))
}
