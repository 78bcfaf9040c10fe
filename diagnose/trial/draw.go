package trial

import (
	"math"
	"math/rand/v2"
	"strconv"
)

// Each concern draws from a stream of its own, so that a change to one leaves
// the others as they were.
const (
	streamPlant uint64 = iota + 1
	streamChoice
	streamBuilt
	streamFaults
	streamPlan
	streamSurvey
	streamBaseline
	streamWrong
	streamRead
	streamHistory
)

// dice is a seeded source with the draws that are needed here.
type dice struct{ *rand.Rand }

func newDice(seed, stream uint64) dice {
	return dice{rand.New(rand.NewPCG(mix(seed), mix(seed+stream<<32)))}
}

// mix scatters seeds that lie side by side; the generator itself starts alike
// from like seeds. G. L. Steele, D. Lea, C. H. Flood, OOPSLA 2014 (SplitMix64).
func mix(x uint64) uint64 {
	x += 0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}

// chance is true with probability p.
func (d dice) chance(p float64) bool { return d.Float64() < p }

// between is uniform from lo to hi.
func (d dice) between(lo, hi float64) float64 { return lo + (hi-lo)*d.Float64() }

// logBetween is uniform in the logarithm.
func (d dice) logBetween(lo, hi float64) float64 { return lo * math.Exp(d.Float64()*math.Log(hi/lo)) }

// factor is lognormal of median 1.
func (d dice) factor(sd float64) float64 { return math.Exp(sd * d.NormFloat64()) }

// pick is one of the list.
func pick[T any](d dice, list ...T) T { return list[d.IntN(len(list))] }

// weighted is an index drawn in proportion to its weight; -1 if all are zero.
func (d dice) weighted(w []float64) int {
	var sum float64
	for _, x := range w {
		sum += x
	}
	u := d.Float64() * sum
	for i, x := range w {
		if u < x {
			return i
		}
		u -= x
	}
	return len(w) - 1
}

// shuffled is a copy of the list in random order.
func shuffled[T any](d dice, list []T) []T {
	out := append([]T(nil), list...)
	d.Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	return out
}

// round rounds v to a multiple of step, the decimal number itself.
func round(v, step float64) float64 {
	x, _ := strconv.ParseFloat(strconv.FormatFloat(math.Round(v/step)*step, 'f', 9, 64), 64)
	return x
}
