// Package screen rates by linear algebra what further faults and wrong rows would
// explain of a survey, before any of it is fitted: ideas for the search to fit, the
// evidence that each promises, and the readings of a large baseline that tell most.
//
// All is rated from a fit: what is left of the readings, and the covariance under
// which that is weighed. A first look takes what a fault does as linear (Rate); what
// promises most there is solved at a typical severity (SecondLook), and where the
// readings ask for more than that, once more there (heavy.go). Of a wrong row the gain
// has a closed form (Rows). A large baseline is thinned by the same rates (thin.go).
//
// Scores and evidence are in nats. What to list, what may stand beside what and what
// is worth a fit is for package search to say.
package screen
