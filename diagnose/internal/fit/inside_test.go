package fit

import (
	"errors"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/observe"
)

// One step goes 1.2 in a severity and 3 in a parameter at most, all in proportion.
func TestStrideByHand(t *testing.T) {
	p := Point{Theta: []float64{0, 1}, Z: []float64{2}}
	for _, x := range []struct {
		theta        []float64
		z            float64
		scale, moved float64
	}{
		{[]float64{1, 0}, 3, 1, 1}, {[]float64{2, 1}, 1.5, 1, 2}, {[]float64{6, 1}, 2, 0.5, 6}, {[]float64{0, -5}, 2, 0.5, 6},
		{[]float64{0, 1}, 4.4, 0.5, 2.4}, {[]float64{6, 1}, 6.8, 0.25, 6}, {[]float64{0, 1}, 2, 1, 0},
	} {
		scale, moved := p.stride(Point{Theta: x.theta, Z: []float64{x.z}})
		require.InDelta(t, x.scale, scale, 1e-12, "%v", x)
		require.InDelta(t, x.moved, moved, 1e-12, "%v", x)
	}
	q := Point{Theta: []float64{0, 1}, Z: []float64{2}, Dual: []float64{4, 0}}
	q.Towards(Point{Theta: []float64{4, -1}, Z: []float64{4}, Dual: []float64{0, 8}}, 0.25)
	require.Equal(t, Point{Theta: []float64{1, 0.5}, Z: []float64{2.5}, Dual: []float64{3, 2}}, q)
	q.Towards(Point{Theta: []float64{4, -1}, Z: []float64{4}}, 0)
	require.NotNil(t, q.Dual, "it has not moved")
	q.Towards(Point{Theta: []float64{4, -1}, Z: []float64{4}}, 0.5)
	require.Nil(t, q.Dual, "where the other's is not known")
}

// A point costs half the squares of its misfits, of its severities from their usual, and
// of its way from the mean: by hand.
func TestCostByHand(t *testing.T) {
	c := costs{y: []float64{10, 5}, h: []float64{7, 5}, noise: []float64{4, 1}, mean: []float64{1}, priorScale: 2, noiseScale: 3}
	usual := func(int) fault.SeverityPrior { return fault.SeverityPrior{Mean: -1, Sd: 2} }
	p := Point{Theta: []float64{3, 2}, Dual: []float64{8, 4}, Z: []float64{3}}
	// 9/(4·9), then 8·2/4 + 4·2/4, then 4²/2²
	require.InDelta(t, (0.25+4+2+4)/2, c.of(p, usual), 1e-12)
	p.Dual = nil
	require.True(t, math.IsInf(c.of(p, usual), 1))
}

// way is a descent along a line: what each point costs, and where it can't be solved.
type way struct {
	at       Point
	cost     func(x float64) float64
	unsolved func(x float64) bool
	bend     *Point
	tried    []float64
	on, lost bool
}

func (w *way) point() *Point { return &w.at }
func (w *way) Cost() float64 { return w.cost(w.at.Theta[0]) }
func (w *way) quad() float64 { return 1 }
func (w *way) lose()         { w.lost = true }
func (w *way) predict() error {
	if w.unsolved != nil && w.unsolved(w.at.Theta[0]) {
		return errors.New("it can't be solved")
	}
	return nil
}

func (w *way) try() (bool, bool) {
	w.tried = append(w.tried, w.at.Theta[0])
	return w.predict() == nil, w.on
}

func (w *way) bent() (Point, bool) {
	if w.bend == nil {
		return Point{}, false
	}
	return w.bend.Clone(), true
}

func pointAt(x float64) Point { return Point{Theta: []float64{x}, Dual: []float64{x}} }

// A step goes all the way, or as far as makes the point more probable by halves; over
// what can't be solved it is shortened by eight; where nothing helps all is as before.
func TestAStepGoesAsFarAsItHelps(t *testing.T) {
	down := func(x float64) float64 { return math.Abs(x - 2) }
	for _, x := range []struct {
		why   string
		w     way
		to    float64
		tries int
		tried []float64
		ends  float64
		went  bool
	}{
		{"all the way", way{cost: down, on: true}, 2, 8, []float64{2}, 2, true},
		{"no farther than a stride", way{cost: func(x float64) float64 { return -x }, on: true}, 6, 8, []float64{3}, 3, true},
		{"half", way{cost: func(x float64) float64 { return math.Abs(x - 1) }, on: true}, 3, 8, []float64{3, 1.5}, 1.5, true},
		{"uphill", way{cost: func(x float64) float64 { return x }, on: true}, 2, 3, []float64{2, 1, 0.5}, 0, false},
		{"hardly uphill", way{cost: func(x float64) float64 { return 0.00045 * x }, on: true}, 2, 3, []float64{2}, 2, true},
		{"a bit more uphill", way{cost: func(x float64) float64 { return 0.00055 * x }, on: true}, 2, 2, []float64{2, 1}, 1, true},
		{"over the edge", way{cost: down, on: true, unsolved: func(x float64) bool { return x > 0.5 }}, 2, 8, []float64{2, 0.25}, 0.25, true},
		{"over the edge, and no more tries", way{cost: down, unsolved: func(x float64) bool { return x > 0.5 }}, 2, 8, []float64{2}, 0, false},
		{"bent back", way{cost: func(x float64) float64 { return math.Abs(x + 1) }, on: true, bend: &Point{Theta: []float64{-1}, Dual: []float64{-1}}}, 2, 8, []float64{2, -1}, -1, true},
		{"bent to no good", way{cost: func(x float64) float64 { return math.Abs(x - 0.5) }, on: true, bend: &Point{Theta: []float64{-1}, Dual: []float64{-1}}}, 2, 8, []float64{2, -1, 1}, 1, true},
	} {
		x.w.at = pointAt(0)
		moved, went := Advance(&x.w, pointAt(x.to), x.tries)
		require.Equal(t, x.went, went, x.why)
		require.InDelta(t, math.Abs(x.to), moved, 1e-12, x.why)
		require.InDeltaSlice(t, x.tried, x.w.tried, 1e-12, x.why)
		require.InDelta(t, x.ends, x.w.at.Theta[0], 1e-12, x.why)
		require.False(t, x.w.lost, x.why)
	}
	w := &way{at: pointAt(0), cost: func(x float64) float64 { return x }, on: true, unsolved: func(x float64) bool { return x == 0 }}
	_, went := Advance(w, pointAt(2), 2)
	require.False(t, went)
	require.True(t, w.lost, "where it stood can't be predicted any more")
	blind := &way{at: Point{Theta: []float64{0}}, cost: down, on: true}
	_, went = Advance(blind, pointAt(2), 1)
	require.True(t, went)
	require.Equal(t, []float64{2}, blind.at.Dual, "known where the whole step was gone")

	// what a step promises: the cost less half the misfit of the linear target
	require.InDelta(t, 2-0.5, toCome(&way{at: pointAt(0), cost: down}, 1), 1e-12)
	none := &way{at: pointAt(0), cost: func(float64) float64 { return math.Inf(1) }}
	require.Zero(t, toCome(none, 0.029))
	require.True(t, math.IsInf(toCome(none, 0.031), 1))
	require.Equal(t, 8, TriesOf(true))
	require.Equal(t, 1, TriesOf(false), "up an old linearisation it only creeps")
}

// By the factor of an S that is near, S α = r is solved all the same.
func TestRefinedSolutionsAreExact(t *testing.T) {
	const m, n = 5, 3
	s := &Study{N: n, PriorScale: 1.5, NoiseScale: 2, Observation: make([]observe.Observation, m), Pr: Prior{Scale: 0.8, V: mat.NewDense(n, 1, []float64{0.3, -0.2, 0.4})}}
	d := &Detail{J: mat.NewDense(m, n, nil), Jz: mat.NewDense(m, 1, nil), Noise: []float64{1, 0.5, 2, 1, 0.7}, R: []float64{3, -1, 2, 0.5, 4}, Alpha: mat.NewVecDense(m, nil)}
	for i := range m {
		d.Jz.Set(i, 0, math.Cos(float64(i)))
		for x := range n {
			d.J.Set(i, x, math.Sin(float64(1+i*n+x)))
		}
	}
	v := &fault.Variant{Kind: fault.Leak}
	f := &Fit{Hypothesis: Hypothesis{Faults: []*fault.Variant{v}}}
	sd := v.Usual().Sd
	S := mat.NewSymDense(m, nil)
	for i := range m {
		for j := i; j < m; j++ {
			c := sd * sd * d.Jz.At(i, 0) * d.Jz.At(j, 0)
			vi, vj := 0.0, 0.0
			for x := range n {
				c += 2.25 * 0.8 * d.J.At(i, x) * d.J.At(j, x)
				vi, vj = vi+d.J.At(i, x)*s.Pr.V.At(x, 0), vj+d.J.At(j, x)*s.Pr.V.At(x, 0)
			}
			if c -= 2.25 * vi * vj; i == j {
				c += 4 * d.Noise[i]
			}
			S.SetSym(i, j, c)
		}
	}
	off := d.Chol.Room(m)
	off.CopySym(S)
	for i := range m {
		off.SetSym(i, i, 1.2*S.At(i, i))
	}
	require.True(t, d.Chol.Factorize(off))
	require.True(t, s.refine(f, d))
	var want mat.VecDense
	require.NoError(t, want.SolveVec(S, mat.NewVecDense(m, d.R)))
	for i := range m {
		require.InDelta(t, want.AtVec(i), d.Alpha.AtVec(i), 1e-5)
	}
	d.R[0] = math.NaN()
	require.False(t, s.refine(f, d))
}

// Some of n, evenly and in order, each once; all of them if there are no more.
func TestEvenly(t *testing.T) {
	require.Equal(t, []int{0, 2, 5, 7}, numeric.Evenly(10, 4))
	require.Equal(t, []int{0, 1, 2}, numeric.Evenly(3, 9))
	require.Empty(t, numeric.Evenly(0, 3))
}

// A fit that failed, or whose evidence is no number, weighs nothing.
func TestWhatAFitWeighs(t *testing.T) {
	require.Equal(t, 3.0, (&Fit{Status: Settled, Evidence: 5, Prior: -2}).Score())
	for _, f := range []*Fit{{Evidence: 5}, {Status: Settled, Evidence: math.NaN()}} {
		require.True(t, math.IsInf(f.Score(), -1))
	}
	require.True(t, (&Wrong{Cfg: -1}).Slip())
	require.False(t, (&Wrong{Cfg: 0}).Slip())
	require.False(t, (&Wrong{Cfg: -1, Drop: true}).Slip())
	for m, at := range map[fault.Moment][2]bool{fault.Before: {true, false}, fault.After: {false, true}, fault.Always: {true, true}, 0: {true, true}} {
		require.Equal(t, at, [2]bool{m.At(0), m.At(1)})
	}
	require.Equal(t, 3.0, (&Wrong{Fresh: math.Sqrt(5), Y: 2000}).Noise()-6, "√5² and a thousandth of 2000, squared")
}

// When a study has arrived: a small survey by what a step promises; of a large one it is
// enough that the last step gained hardly any of the little that is promised.
func TestWhenAFitHasArrived(t *testing.T) {
	small := &Study{}
	thinned := &Study{Lost: &asbuilt.Unknowns{}, Observation: make([]observe.Observation, 240)}
	large := &Study{Lost: &asbuilt.Unknowns{}, Observation: make([]observe.Observation, 241)}
	require.Equal(t, []bool{false, false, true}, []bool{small.Large(), thinned.Large(), large.Large()})
	require.Equal(t, []bool{false, true, false}, []bool{small.Thinned(), thinned.Thinned(), large.Thinned()})
	all, exact := Settings{}, Settings{exact: true}
	require.Less(t, small.settled(all), thinned.settled(all))
	require.Less(t, thinned.settled(all), large.settled(all))
	require.Equal(t, thinned.settled(exact), large.settled(exact))
	require.Equal(t, 0.3, large.settled(Settings{Enough: 0.3}))
	require.Greater(t, small.steps(all), thinned.steps(all))
	require.Equal(t, small.steps(all), large.steps(all))
	require.Equal(t, small.steps(all), thinned.steps(exact))
	require.False(t, small.Stopped())
	small.Stop = func() bool { return true }
	require.True(t, small.Stopped())
	small.Stop = func() bool { return false }
	require.False(t, small.Stopped())
	// by the cost of its point alone: 1.5 nats are promised
	at := func(s *Study, gained, enough float64) bool {
		s.PriorScale, s.NoiseScale = 1, 1
		x := OneFit{S: s, F: &Fit{At: Point{Dual: []float64{}}}, D: &Detail{Y: []float64{2}, H: []float64{0}, Noise: []float64{1}, Quad: 1}}
		return x.arrived(9, gained, enough)
	}
	require.True(t, at(small, 9, 1.6))
	require.False(t, at(small, 0, 1.4))
	require.True(t, at(large, 1.3, 1.4))
	require.False(t, at(large, 1.5, 1.4))
	require.False(t, (OneFit{S: large, F: &Fit{At: Point{Dual: []float64{}}}, D: &Detail{Y: []float64{2.5}, H: []float64{0}, Noise: []float64{1}, Quad: 1}}).arrived(9, 0, 1.4), "2.6 nats are too much to be owed")
}

// What two sets of rows have in common is worked out anew for those that changed alone.
func TestRowsThatChanged(t *testing.T) {
	require.True(t, near([]float64{1, 2}, []float64{1.3, 2.4}, 0.25+1e-12))
	require.False(t, near([]float64{1, 2}, []float64{1.3, 2.4}, 0.25-1e-12))
	for _, v := range []*mat.Dense{nil, mat.NewDense(3, 2, []float64{0.3, 0.1, -0.2, 0.5, 0.4, 0})} {
		const m = 6
		s := &Study{N: 3, Observation: make([]observe.Observation, m), PriorScale: 2, Pr: Prior{Scale: 0.9, V: v}}
		d := &Detail{J: mat.NewDense(m, 3, nil), stale: make([]bool, m)}
		for i := range m {
			d.stale[i] = true
			for x := range 3 {
				d.J.Set(i, x, math.Sin(float64(1+i*3+x)))
			}
		}
		check := func() {
			s.Share(d)
			require.NotContains(t, d.stale, true)
			var c numeric.Cholesky
			S := c.Room(m)
			s.Spread(d, S)
			for i := range m {
				ji := mat.NewVecDense(3, mat.Row(nil, i, d.J))
				cov := s.Cov(ji)
				for j := i; j < m; j++ {
					require.InDelta(t, mat.Dot(cov, mat.NewVecDense(3, mat.Row(nil, j, d.J))), S.At(i, j), 1e-9, "%d, %d", i, j)
				}
			}
		}
		check()
		for _, rows := range [][]int{{2}, {0, 5}, {1, 2, 3, 4}, nil} { // some, and more than half
			for _, i := range rows {
				d.J.Set(i, 1, d.J.At(i, 1)+0.7)
				d.stale[i] = true
			}
			check()
		}
	}
}
