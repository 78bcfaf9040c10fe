package fit

import (
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/internal/branch"
	"lostair/diagnose/internal/numeric"
)

// Detail is the linearisation at the end of a fit, for screening,
// intervals and evidence.
type Detail struct {
	H          []float64 // predicted
	J, Jz      *mat.Dense
	Rows       *branch.Rows // in place of j, of a large or thinned survey
	rowsAt     []float64    // what each reading was when its row was worked out
	stale      []bool       // rows of j that shared does not know yet
	noiseScale bool         // chol is of what was shared before

	shared     []float64       // J C Jᵀ at the usual spread, upper half
	borrowed   bool            // shared is another's too
	parts      *branch.Factors // in its place, of a large survey
	jv         *mat.Dense      // J·V of its rows
	sharedRows *branch.Rows    // in place of j: the rows it was worked out with

	Chol  numeric.Cholesky
	Sound numeric.Cholesky // of S without the faults' part, where the parameters are held
	Alpha *mat.VecDense    // S⁻¹ r
	R     []float64
	Y     []float64
	Noise []float64 // variance of the fresh errors
	Quad  float64   // rᵀ S⁻¹ r

	ref   *Detail // a linearisation to take over from what has not changed; nil: none
	exact bool    // nothing is taken over that has changed at all

	Left     float64 // nats that the evidence would promise too much: the fit has not settled
	Unsolved int     // points tried that could not be solved
}
