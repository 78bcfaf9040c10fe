package track

import (
	"math"
)

// ewmaChart is a control chart of exponentially weighted moving averages.
type ewmaChart struct {
	Values       []float64 // the average after each value
	Lower, Upper float64   // control limits
	First        int       // 1-based number of the first average outside the limits; 0: none
}

// ewma charts values by an exponentially weighted moving average that starts
// at target:
//
//	z_i = λ·x_i + (1 − λ)·z_{i−1}
//	limits: target ± k·σ·√(λ/(2 − λ))
//
// Lambda lies above 0 and is at most 1; the smaller it is, the longer the
// chart remembers. Sigma is the standard deviation of one value, k the
// limits' distance in standard deviations, 3 as a rule. The limits are those
// of a long run, so they are somewhat wide for the first values.
//
// Source: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.4; S. W.
// Roberts, Technometrics 1 (1959) 239–250.
func ewma(values []float64, lambda, target, sigma, k float64) ewmaChart {
	w := k * sigma * math.Sqrt(lambda/(2-lambda))
	c := ewmaChart{Values: make([]float64, len(values)), Lower: target - w, Upper: target + w}
	z := target
	for i, x := range values {
		z = lambda*x + (1-lambda)*z
		c.Values[i] = z
		if c.First == 0 && (z < c.Lower || z > c.Upper) {
			c.First = i + 1
		}
	}
	return c
}

// cusumChart is a control chart of cumulative sums.
type cusumChart struct {
	High, Low []float64 // sums after each value, 0 or more
	First     int       // 1-based number of the first sum above the limit; 0: none
}

// cusum charts the cumulative sums of what values differ from target by, less
// a slack k a value, upwards and downwards; a sum above h is a signal:
//
//	high_i = max(0, high_{i−1} + x_i − target − k)
//	low_i  = max(0, low_{i−1} + target − k − x_i)
//
// K and h are in the unit of the values: half of the shift that matters, and
// four to five standard deviations, as a rule.
//
// Source: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.3; E. S.
// Page, Biometrika 41 (1954) 100–115.
func cusum(values []float64, target, k, h float64) cusumChart {
	c := cusumChart{High: make([]float64, len(values)), Low: make([]float64, len(values))}
	var high, low float64
	for i, x := range values {
		high = math.Max(0, high+x-target-k)
		low = math.Max(0, low+target-k-x)
		c.High[i], c.Low[i] = high, low
		if c.First == 0 && (high > h || low > h) {
			c.First = i + 1
		}
	}
	return c
}
