package story

import (
	"cmp"
	"math"
	"slices"

	"lostair/diagnose/internal/numeric"
)

// Own choice, checked on histories of our own: how often something breaks and how
// often what is broken is mended, from one survey to the next.
const (
	Breaks = 0.04 // that anything at all breaks
	Mends  = 0.10 // that what is broken is gone
	Partly = 0.05 // that it is mended in part, or becomes much worse at once
	Leaps  = 1.2  // standard deviation of a severity's leap, in its z
)

// path is a fault that is there from one survey on until before another, in
// whatever way its severity went meanwhile.
type path struct {
	from, to int     // to: the number of surveys while it lasts
	log      float64 // posterior weight, not normalised
	last     bell    // of the severity when last seen, in the likeliest of these ways
	first    bell    // when first seen
}

// ways adds up the ways in which a fault can have come and gone, by when.
type ways struct {
	n     int
	paths []path    // by from and to
	best  []float64 // the likeliest of those added up
}

// leapsMost is how many surveys are tried, evenly, as that before which a severity
// leapt: of ten years of weekly surveys it matters little which of ten it was.
const leapsMost = 60

// paths weighs every way in which one fault can have come and gone, by forward
// recursion over the severity: looks are what each survey says of it, first is
// the earliest survey in which it can have begun, share its part of all that can
// break. Once while it lasts the severity may leap, as by half a repair.
func paths(looks []seen, usual bell, first int, share float64) []path {
	n := len(looks)
	w := ways{n: n, paths: make([]path, n*(n+1)), best: make([]float64, n*(n+1))}
	for i := range w.best {
		w.best[i], w.paths[i].log = math.Inf(-1), math.Inf(-1)
	}
	stride := (n + leapsMost - 1) / leapsMost
	for k := first; k < n; k++ {
		log := math.Log(Breaks*share) + float64(k-first)*math.Log(1-Breaks*share)
		for _, step := range steps {
			w.walk(looks, usual, k, n, step, log-math.Log(float64(len(steps))))
			for leap := k + 1; leap < n; leap += stride {
				w.walk(looks, usual, k, leap, step, log-math.Log(float64(len(steps)))+math.Log(float64(min(stride, n-leap))))
			}
		}
	}
	return slices.DeleteFunc(w.paths, func(p path) bool { return math.IsInf(p.log, -1) })
}

// add adds a path to those of the same beginning and end.
func (w *ways) add(p path) {
	at := p.from*(w.n+1) + p.to
	sum := numeric.LogSumExp([]float64{w.paths[at].log, p.log})
	if p.log > w.best[at] {
		w.best[at], w.paths[at] = p.log, p
	}
	w.paths[at].log = sum
}

// walk follows one fault from survey k on, its severity leaping before survey
// leap (the number of surveys: never), and adds a path for each end after that.
func (w *ways) walk(looks []seen, usual bell, k, leap int, step, log float64) {
	n, now, begun := len(looks), usual, bell{}
	for i := k; i < n; i++ {
		if i == leap {
			now, log = now.drifted(Leaps), log+math.Log(Partly)
		}
		if looks[i].known {
			gain, after := looks[i].under(usual, now)
			log, now = log+gain, after
		}
		if i == k {
			begun = now
		}
		if leap == n || i >= leap {
			end := path{from: k, to: i + 1, log: log, last: now, first: begun}
			if i+1 < n {
				end.log += math.Log(Mends)
			}
			w.add(end)
		}
		log += math.Log(1 - Mends)
		now = now.drifted(step)
	}
}

// likeliest is the path of the largest weight.
func likeliest(all []path) path {
	return slices.MaxFunc(all, func(a, b path) int { return cmp.Compare(a.log, b.log) })
}

// total is the logarithm of the sum of all weights.
func total(all []path) float64 {
	x := make([]float64, len(all))
	for i, p := range all {
		x[i] = p.log
	}
	if len(x) == 0 {
		return math.Inf(-1)
	}
	return numeric.LogSumExp(x)
}

// Moment is a survey among all, with the range that holds the truth nine times in ten.
type Moment struct {
	Survey, Low, High int // indices of surveys
}

// momentsOf gives the likeliest survey of the beginning and of the end, with the
// ranges that hold nine in ten.
func momentsOf(all []path, n int) (from, to Moment) {
	begin, end := make([]float64, n+1), make([]float64, n+1)
	sum := total(all)
	for _, p := range all {
		w := math.Exp(p.log - sum)
		begin[p.from] += w
		end[p.to] += w
	}
	return momentOf(begin), momentOf(end)
}

func momentOf(w []float64) Moment {
	best := 0
	for i, x := range w {
		if x > w[best] {
			best = i
		}
	}
	return Moment{Survey: best, Low: min(quantile(w, 0.05), best), High: max(quantile(w, 0.95), best)}
}

func quantile(w []float64, q float64) int {
	sum := 0.0
	for i, x := range w {
		if sum += x; sum >= q {
			return i
		}
	}
	return len(w) - 1
}
