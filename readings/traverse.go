package readings

import (
	"fmt"
	"math"
)

// TraverseMethod is a rule for where to measure across a round duct.
type TraverseMethod uint8

const (
	LogLinear TraverseMethod = iota // 6 or 10 positions
	EqualArea                       // any even number of positions
)

// String is the name of the method, for messages.
func (m TraverseMethod) String() string {
	if m == EqualArea {
		return "equal-area"
	}
	return "log-linear"
}

// mostAcross is more positions than any traverse along one diameter has.
const mostAcross = 100

// logLinear gives r/R of the positions on one radius, from the axis out; the
// positions of the log-linear rule of the ISO 3966 type. Values from memory;
// the distances of 6 positions that follow agree with those of two instrument
// leaflets that quote the standard (0.032, 0.135, 0.321 of the diameter).
func logLinear(n int) []float64 {
	switch n {
	case 6:
		return []float64{0.3586, 0.7302, 0.9358}
	case 10:
		return []float64{0.2776, 0.5658, 0.6950, 0.8470, 0.9622}
	}
	return nil
}

// equalArea gives r/R of n/2 positions, each in the middle of a ring of equal
// area: r = R·sqrt((2i-1)/n). Source: 40 CFR 60 app. A-1 Method 1, whose
// table 1-2 follows from it.
func equalArea(n int) []float64 {
	if n < 2 || n > mostAcross || n%2 != 0 {
		return nil
	}
	out := make([]float64, n/2)
	for i := range out {
		out[i] = math.Sqrt(float64(2*i+1) / float64(n))
	}
	return out
}

// TraversePositions gives the distances from the wall, in m, nearest first,
// of n measuring positions along one diameter of a round duct.
func TraversePositions(m TraverseMethod, n int, diameter float64) ([]float64, error) {
	if !(diameter > 0) || math.IsInf(diameter, 0) {
		return nil, fmt.Errorf("readings: a traverse needs a duct's diameter, not %g m", diameter)
	}
	radii, allowed := logLinear(n), "6 or 10"
	if m == EqualArea {
		radii, allowed = equalArea(n), fmt.Sprintf("2, 4, 6 and so on to %d", mostAcross)
	}
	if radii == nil {
		return nil, fmt.Errorf("readings: a traverse of the %s kind has %s positions, not %d", m, allowed, n)
	}
	out := make([]float64, n)
	for i, r := range radii {
		out[n/2-1-i] = diameter * (1 - r) / 2
		out[n/2+i] = diameter * (1 + r) / 2
	}
	return out, nil
}
