// Package fit fits a hypothesis (a set of faults and of wrong rows) to one survey,
// or to two weighed as one, by Gauss–Newton on the nonlinear model, and gives its
// evidence by Laplace's method.
//
// A Study is one survey against the model: shared as-built parameters, then the
// survey's own (taps, instruments, filter, day). A Pair is a study of two surveys,
// one with its baseline or those before and after a repair. A Study whose parameters
// are Held moves severities alone, as control charts do. A Fit is what comes out:
// where the parameters stand, the evidence, and the covariance from which flows and
// severities get their intervals. Parameters are
// standard normal; everything else is SI.
//
// What was learned. A full Gauss–Newton step from the sound system bent to explain
// a weak fan does not find the fan: a fit that has not settled, or fits badly, is
// tried from the prior too. After a baseline the prior is narrow in many directions
// and wide in others, so a step goes only as far as makes the point more probable,
// and a part that nears its bound bends to it smoothly: with a corner there the
// slopes say one thing and the model another.
//
// A fit has settled when a further step promises to gain less than 0.02 nats.
// Judged by the prior's spread (no step above 0.03 standard deviations), evidence
// came out up to 1.7 nats too large. Along an old linearisation one step is tried;
// more led uphill by ever shorter steps.
//
// An instrument far off multiplies its readings. As an error added to them, "a
// third too much" gained 40 nats on 200 readings for nothing: what parts as built
// spread shrank with the flows.
//
// How closed a gate is and what it costs in pressure are tied by a law from a book,
// which may be off; so the interval of a gate's severity is wider than that of its
// loss. A gate's leak is all that it leaves open when shut, as built and by fault.
package fit
