package search

import (
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/observe"
)

// Whole is what is left of a search with all readings to those kept of it.
type Whole struct {
	S      *fit.Study
	B      *observe.Bound
	Place  []int                  // where each reading kept stands among all
	Shift  float64                // from evidence with all readings to that of what was carried over
	At     map[*fit.Fit]fit.Point // where what was carried over stood with all readings,
	Raised map[*fit.Fit]float64   // and by how much its evidence was raised over that with those kept
}
