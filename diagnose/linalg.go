package diagnose

import "gonum.org/v1/gonum/mat"

// solveDot is vᵀ S⁻¹ v.
func solveDot(c *mat.Cholesky, v mat.Vector) float64 {
	x := mat.NewVecDense(v.Len(), nil)
	if c.SolveVecTo(x, v) != nil {
		return 0
	}
	return mat.Dot(x, v)
}
