package diagnose

import (
	"errors"

	"gonum.org/v1/gonum/mat"
)

// solved reports whether a solve gave a result; gonum warns of a large
// condition number beside a good one, which rows set aside bring about.
func solved(err error) bool {
	var c mat.Condition
	return err == nil || errors.As(err, &c)
}

// solveDot is vᵀ S⁻¹ v.
func solveDot(c *mat.Cholesky, v mat.Vector) float64 {
	x := mat.NewVecDense(v.Len(), nil)
	if !solved(c.SolveVecTo(x, v)) {
		return 0
	}
	return mat.Dot(x, v)
}
