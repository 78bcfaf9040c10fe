package numeric

import (
	"math"

	"gonum.org/v1/gonum/blas/blas64"
)

func Contains(s []int, x int) bool {
	for _, y := range s {
		if x == y {
			return true
		}
	}
	return false
}

// ClampProbability keeps rounding from leaving 0 to 1.
func ClampProbability(p float64) float64 { return math.Min(math.Max(p, 0), 1) }

// Vector is a slice as a vector.
func Vector(x []float64) blas64.Vector { return blas64.Vector{N: len(x), Inc: 1, Data: x} }
