package search

import "lostair/diagnose/internal/fit"

// Whole is what is left of a search with all readings to those kept of it.
type Whole struct {
	S           *fit.Study
	Sound, Lead *fit.Fit // of what was carried over, as fitted to all readings: sets and points alone
	Shift       float64  // from evidence with all readings to that of what was carried over
	Raised      float64  // by how much that of the sound system is over its own with the readings kept
}
