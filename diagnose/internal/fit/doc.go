// Package fit fits a hypothesis (a set of faults and of wrong rows) to one survey,
// or to two at once, by Gauss–Newton on the nonlinear model, and gives its
// evidence by Laplace's method.
//
// A Study is one survey against the model: shared as-built parameters, then the
// survey's own (taps, instruments, filter, day). A Pair is two of them. Fit and
// PairFit are what comes out: where the parameters stand, the evidence, and the
// covariance from which flows and severities get their intervals. Parameters are
// standard normal; everything else is SI.
package fit
