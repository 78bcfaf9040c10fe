package report

import (
	"lostair/diagnose"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/report/finding"
	"lostair/report/show"
)

// Converter puts what a diagnosis holds into the reader's units and into words.
type Converter struct{ finding.Words }

// Candidate puts a candidate into words.
func (c Converter) Candidate(x fault.Candidate) Candidate {
	return Candidate{Kind: x.Kind.String(), Where: x.Where, Probability: show.Probability(x.Probability), Name: c.Name(x.Kind, x.Where)}
}

// CandidateOf puts a candidate of a system into words.
func CandidateOf(sys *duct.System, x fault.Candidate) Candidate {
	return Converter{finding.Words{D: &diagnose.Result{System: sys}, U: sys.Units}}.Candidate(x)
}
