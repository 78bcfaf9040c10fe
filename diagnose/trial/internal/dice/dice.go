package dice

import (
	"math"
	"math/rand/v2"
)

// Each concern draws from a stream of its own, so that a change to one leaves
// the others as they were.
const (
	StreamPlant uint64 = iota + 1
	StreamChoice
	StreamBuilt
	StreamFaults
	StreamPlan
	StreamSurvey
	StreamBaseline
	StreamWrong
	StreamRead
	StreamHistory
)

// Dice is a seeded source with the draws that are needed here.
type Dice struct{ *rand.Rand }

// New is the source of a seed and a stream.
func New(seed, stream uint64) Dice {
	return Dice{rand.New(rand.NewPCG(mix(seed), mix(seed+stream<<32)))}
}

// mix scatters seeds that lie side by side; the generator itself starts alike
// from like seeds. G. L. Steele, D. Lea, C. H. Flood, OOPSLA 2014 (SplitMix64).
func mix(x uint64) uint64 {
	x += 0x9e3779b97f4a7c15
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}

// Chance is true with probability p.
func (d Dice) Chance(p float64) bool { return d.Float64() < p }

// Between is uniform from lo to hi.
func (d Dice) Between(lo, hi float64) float64 { return lo + (hi-lo)*d.Float64() }

// LogBetween is uniform in the logarithm.
func (d Dice) LogBetween(lo, hi float64) float64 { return lo * math.Exp(d.Float64()*math.Log(hi/lo)) }

// Factor is lognormal of median 1.
func (d Dice) Factor(sd float64) float64 { return math.Exp(sd * d.NormFloat64()) }

// Pick is one of the list.
func Pick[T any](d Dice, list ...T) T { return list[d.IntN(len(list))] }

// Weighted is an index drawn in proportion to its weight; -1 if all are zero.
func (d Dice) Weighted(w []float64) int {
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

// Shuffled is a copy of the list in random order.
func Shuffled[T any](d Dice, list []T) []T {
	out := append([]T(nil), list...)
	d.Shuffle(len(out), func(i, j int) { out[i], out[j] = out[j], out[i] })
	return out
}
