// Package search finds the hypotheses that explain a survey, or two of one system
// weighed as one: what may join a set, its odds and what else to try are then given by
// who asks (Joins, Odds, Also).
//
// Sets of faults and of wrong rows are grown from the sound system (grow.go): screened
// by linear algebra (screen.go, package screen), the best fitted (try.go), each leader
// tried without each of its parts (without.go, causes.go) and with neighbours in their
// place (exchange.go), leaders of a thinned survey fitted exactly (polish.go), those near
// the best fitted to survey and last baseline at once (jointly.go), and all weighed under
// several factors on the spreads and the errors (spreadscale.go). Large baselines are
// thinned first (package screen).
//
// What was learned. Gross rows: one value in the wrong unit bends every fit, so such
// rows are set aside before the first one, against what the page would show. What
// they should have been is decided when the faults are known, or a weak fan makes a
// slip by ten look like one by a hundred.
//
// Sets: a restriction below a tap, and a wrong row beside a restriction above it,
// look much the same, and the second is met first. So each leading set is tried
// without each of its parts. A gate, its hose, its hood and its drop are one
// restriction to most surveys: each is exchanged for its neighbours, so that groups
// are whole.
//
// Starts: a fit starts where the screen says the severity explains most. From the
// middling severity it took three to twelve steps more.
//
// Spreads: cases whose joins follow another law brought false faults. The factors on
// the as-built spread and on the errors are learned, and the evidence of each
// hypothesis is averaged over them. Taking the factor that suits the best
// explanation favours faults; factors below one must be among them, or every short
// survey is taken for a careless shop.
//
// Baselines: a mean and a covariance keep what a baseline taught as if the readings
// were linear. Background leakage is not: its loss grows with the exponential of its
// parameter, so a sound plant seemed free to leak far more than the baseline bears.
// What comes near the best is therefore fitted to survey and last baseline at once;
// on 360 own cases detection rose from 88 to 96 %. What was only screened gains by
// that what its parent gained, not what the best did.
//
// Large surveys: up to 240 readings a survey is searched as it is; a larger one goes
// through SearchPlant with all its readings (evenly many of more than 2,000). Their
// derivatives and covariance are kept by the plant's branches (package branch). The
// factors on spreads and fresh errors are found from the sound system, before the
// search. See bounds.go here, reduce.go and large.go in package fit.
//
// Fits of thinned surveys stop up to a hundred nats short, some more
// than others. What comes near the best is fitted out (polish.go), what is stuck is
// started again, and a filter or fan that the sound fit has bent far off is handed
// over to its fault.
package search
