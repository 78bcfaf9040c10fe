package fault

import (
	"math"

	"lostair/diagnose/airflow"
)

// Job is why a system is read. It sets what is expected to be wrong.
type Job uint8

// Jobs.
const (
	InUse      Job = iota // a shop at work: hoses clog and tear, gates stay half shut
	NewInstall            // just built: it was built otherwise sooner than it broke
	Checked               // a shop at work of which nobody complains
)

// CheckedFaults is how many faults are expected where nobody complains. Own choice:
// of those that someone measures because something is weak, fewer than half.
const CheckedFaults = 0.4

// What is expected of a new install, beside what a mistake in its page explains.
// Common practice, no source.
const (
	NewFaults  = 0.4  // faults
	NewAltered = 0.3  // ducts that lose more or less than by the page: longer, more bends, rougher
	NewLess    = 0.15 // the share of them that lose less
	NewAdded   = 0.8  // what one more bend or some metres lose, middle, velocity heads
	NewSpread  = 0.6  // of its logarithm, one sigma
	NewAtPlace = 0.5  // share of what loses more that does so at one place, not all along
)

// NewShare is how the faults of a new install divide by kind: leaks and gates that
// don't move freely are built in, and nothing has clogged yet. Common practice, no source.
var NewShare = [lastSearched + 1]float64{
	Leak: 0.34, Blockage: 0.08, GateRestricted: 0.26, GateLeaking: 0.08, FilterLoaded: 0.04, FanWeak: 0.20,
}

// SitesOf lists every fault that may be present, by the job.
func SitesOf(m *airflow.Model, j Job) []*Site {
	out := Sites(m)
	for _, s := range out {
		switch j {
		case NewInstall:
			s.Prior = min(s.Prior*NewFaults*NewShare[s.Kind]/(ExpectedFaults*KindShare[s.Kind]), LikeliestOne)
		case Checked:
			s.Prior *= CheckedFaults / ExpectedFaults
		}
	}
	return out
}

// Deviations lists the ducts of a new install that may lose more or less than by
// their page, their places in a list of sites beginning with from.
func Deviations(m *airflow.Model, from int) []*Site {
	all := alteredDucts(m, from)
	for _, s := range all {
		s.ByPage = true
		s.Prior = min(NewAltered/float64(len(m.Sys.Ducts)), 0.1)
		added := NewAdded / m.UsualLoss(s.Duct)
		more, less := s.Variants[0], s.Variants[1]
		more.own = SeverityPrior{math.Log1p(added), NewSpread * added / (1 + added)}
		more.Weight, less.Weight = 1-NewLess, NewLess
		segs := m.DuctSegments(s.Duct)
		if len(segs) < 2 {
			continue
		}
		more.Weight *= 1 - NewAtPlace
		for _, x := range segs {
			v := one(airflow.SlotK, x)
			v.Spots[0].Share, v.Kind, v.Site, v.own = m.UsualLoss(s.Duct), Altered, more.Site, more.own
			v.Weight = (1 - NewLess) * NewAtPlace / float64(len(segs))
			s.Variants = append(s.Variants, v)
		}
	}
	return all
}
