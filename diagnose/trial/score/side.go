package score

import (
	"math"
	"slices"
	"sort"

	"lostair/diagnose/trial"
)

// Side is the row of a kind that is not localised.
type Side struct {
	Kind             string
	Truths           int
	Asserted, Top3   Share
	FalselyNamed     int
	ValueIn          Share
	ValueErr         []float64
	Alone, BlamedFor int // cases with nothing else wrong, and those of them blamed on another fault
}

// side scores undersized drops or wrong rows.
func side(kind string, truths []*trial.Truth, answers []*Answer) Side {
	s := Side{Kind: kind}
	for i, t := range truths {
		s.add(t, answers[i])
	}
	return s
}

func (s *Side) add(t *trial.Truth, a *Answer) {
	if a == nil {
		a = &Answer{}
	}
	var real []*trial.Fault
	for i := range t.Faults {
		if t.Faults[i].Kind == s.Kind {
			real = append(real, &t.Faults[i])
		}
	}
	said, cands := ofKind(a.Faults, s.Kind), ofKind(a.Candidates, s.Kind)
	sort.SliceStable(cands, func(i, j int) bool { return cands[i].Probability > cands[j].Probability })
	if len(real) > 0 && t.Mains() == 0 && !slices.ContainsFunc(t.Faults, func(f trial.Fault) bool { return f.Kind != s.Kind && f.Kind != trial.Undersized }) {
		s.Alone++
		if slices.ContainsFunc(a.Faults, func(c Named) bool { return mainKind(c.Kind) }) {
			s.BlamedFor++
		}
	}
	for i := range said {
		if !slices.ContainsFunc(real, func(f *trial.Fault) bool { return names(&said[i], f) }) {
			s.FalselyNamed++
		}
	}
	for _, f := range real {
		s.fault(f, said, cands)
	}
}

func (s *Side) fault(f *trial.Fault, said, cands []Named) {
	s.Truths++
	hit := func(c Named) bool { return names(&c, f) }
	i := slices.IndexFunc(said, hit)
	s.Asserted.add(i >= 0)
	s.Top3.add(slices.ContainsFunc(cands[:min(3, len(cands))], hit))
	if i < 0 || said[i].Severity == nil || math.IsNaN(said[i].Severity.Value) || math.IsNaN(f.Severity) || f.Severity == 0 {
		return
	}
	v := said[i].Severity
	s.ValueErr = append(s.ValueErr, math.Abs(v.Value-f.Severity)/math.Abs(f.Severity))
	s.ValueIn.add(v.holds(f.Severity))
}

func ofKind(list []Named, kind string) []Named {
	var out []Named
	for _, c := range list {
		if c.Kind == kind {
			out = append(out, c)
		}
	}
	return out
}
