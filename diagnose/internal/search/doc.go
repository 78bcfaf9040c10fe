// Package search finds the hypotheses that explain a survey.
//
// Sets of faults and of wrong rows are grown from the sound system: screened by
// linear algebra (screen.go), the best fitted (search.go), each leader tried
// without each of its parts and with neighbours in their place, leaders of a
// thinned survey fitted exactly (polish.go), those near the best fitted to survey
// and last baseline at once (jointly.go), and all weighed under several factors on
// the spreads and the errors (spreadscale.go). Large surveys are thinned first
// (thin.go).
package search
