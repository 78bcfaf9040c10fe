// Package weigh turns the evidence of all hypotheses into probabilities: of each
// fault, of groups that the readings can't tell apart, of flows and of drops that
// are too small by design.
//
// What was learned. A drop that is too small is made wider as a whole: when only its
// dearest duct was, a hose behind a drop of the same size was to become 183 mm where
// hose and drop of 145 do. Flows of plants of 120 ports were 7.8 % either way wide
// from the thinned survey alone; with the readings left out on the port's own way
// they are 5.5 %, of which 4.9 is the law of joins. With the readings kept of a large
// survey alone the sound system fitted 100 to 200 nats too well, and the page's fan
// seemed to be another's with 99 % of its pressure: see thinned.go.
package weigh
