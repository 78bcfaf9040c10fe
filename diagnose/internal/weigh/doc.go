// Package weigh turns the evidence of all hypotheses into probabilities: of each
// fault, of groups that the readings can't tell apart, of flows and of drops that
// are too small by design.
package weigh
