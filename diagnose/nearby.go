package diagnose

import (
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/readings"
)

const (
	nearMost  = 6   // readings that what is said of a port is held against
	nearOut   = 3.5 // sigmas by which a reading is out that is not believed there
	nearPorts = 3   // ports whose air together is held against theirs

	tellerStates = 16 // configurations whose solution is kept at a time
)

// nearby is what some readings that a search did without still tell under a
// fitted hypothesis, as linear about the fit: the velocity in a mouth bears on
// its own port's flow, and on little else that was searched for.
type nearby struct {
	list  []*nearReading
	spare float64       // variance of each parameter left out
	chol  cholesky      // of the covariance of the readings
	alpha *mat.VecDense // that⁻¹ times how far they are from what the fit makes of them
}

type nearReading struct {
	row, gz []float64                       // derivatives by parameters and severities
	lost    []float64                       // and by the parameters left out
	with    func(row, gz []float64) float64 // covariance with another quantity but for those
	e       float64                         // measured less expected
	noise   float64                         // variance of the fresh error
}

// lines lists for each port the readings, of those that the search did
// without, on the ducts that carry its air alone.
func (w *wholeSurvey) lines() [][]int {
	m := w.s.m
	port := make([]int, len(m.Sys.Ducts)) // whose air alone a duct carries; -1: of several
	for d := range port {
		port[d] = -1
	}
	trunk := trunks(m.Sys)
	for i := range m.Sys.Ports {
		for _, d := range ownWay(m, i, trunk) {
			port[d] = i
		}
	}
	var open [][]bool
	for _, c := range w.b.configs {
		open = append(open, reach(m, c.Config))
	}
	out := make([][]int, len(m.Sys.Ports))
	for i := range w.s.obs {
		c := w.s.obs[i].cfg
		if slices.Contains(w.pos, i) || len(w.b.configs[c].hoseOff) > 0 {
			continue
		}
		if d := w.s.ductOf(i); d >= 0 && port[d] >= 0 && open[c][port[d]] {
			out[port[d]] = append(out[port[d]], i)
		}
	}
	return out
}

// nearest are those of a port's line that bear most on it in a setting of the
// gates: those read in it, then those with the fewest gates open.
func (w *wholeSurvey) nearest(port int, open readings.Open) []int {
	rank := func(i int) int {
		o := w.b.configs[w.s.obs[i].cfg].open
		switch {
		case o.String() == open.String():
			return -1
		case o.All:
			return w.s.m.Gates()
		}
		return len(o.Gates)
	}
	out := slices.Clone(w.line[port])
	sort.SliceStable(out, func(a, b int) bool { return rank(out[a]) < rank(out[b]) })
	return out[:min(len(out), nearMost)]
}

// teller works out what readings near a port tell under one fit of a search.
type teller struct {
	w      *wholeSurvey
	s      *study // of the search
	t      *study // of all readings
	f      *fitted
	slopes [][]slope
	jz     *mat.Dense
	solved map[int]*airflow.State // by configuration
}

// under is nil if the search had all readings.
func (w *wholeSurvey) under(s *study, f *fitted) *teller {
	if w == nil {
		return nil
	}
	x := &teller{w: w, s: s, t: w.s.twin(), f: f, solved: map[int]*airflow.State{}}
	x.t.setCoefs(f.at, f.faults)
	for k, v := range f.faults {
		x.slopes = append(x.slopes, v.slopes(&x.t.coef, f.at.z[k]))
	}
	x.jz = mat.NewDense(1, max(len(x.slopes), 1), nil)
	return x
}

// tellers are one for each of the leading sets, for the use of a worker.
func (p *posterior) tellers(worker int) []*teller {
	told := &p.told[worker]
	if *told == nil {
		sets, _ := p.leading()
		for _, f := range sets {
			*told = append(*told, p.whole.under(p.g.workers()[worker], f))
		}
	}
	return *told
}

// state is the system in a configuration of the survey; nil if it can't be solved.
func (x *teller) state(cfg int) *airflow.State {
	st, ok := x.solved[cfg]
	if ok {
		return st
	}
	if len(x.solved) >= tellerStates {
		clear(x.solved)
	}
	if st = x.t.m.NewState(); st.Solve(&x.t.coef, x.w.b.configs[cfg].Config) != nil {
		st = nil
	} else {
		st.Prepare()
	}
	x.solved[cfg] = st
	return st
}

// near is what the readings nearest some ports tell of what they draw together;
// nil: nothing, or there are so many ports that a few readings tell little.
func (x *teller) near(open readings.Open, ports ...int) *nearby {
	if x == nil || len(ports) > nearPorts {
		return nil
	}
	y := &nearby{spare: x.s.kappa * x.s.kappa * x.s.pr.scale}
	for _, p := range ports {
		for _, i := range x.w.nearest(p, open) {
			st := x.state(x.t.obs[i].cfg)
			if st == nil {
				continue
			}
			if r := x.reading(st, i); math.Abs(r.e) < nearOut*math.Sqrt(y.covariance(r, r)) {
				y.list = append(y.list, r)
			}
		}
	}
	if !y.factor() {
		return nil
	}
	return y
}

func (x *teller) reading(st *airflow.State, i int) *nearReading {
	t, f := x.t, x.f
	r := &nearReading{row: make([]float64, t.n), lost: make([]float64, t.all), noise: t.baseNoise(i), e: t.obs[i].y - t.value(st, f.at.theta, i)}
	t.jacobianRow(st, f.at.theta, &t.obs[i], 0, r.row, x.jz, x.slopes)
	if t.lost != nil {
		t.lost.row(t.grad, t.vals, r.lost)
	}
	r.gz = slices.Clone(x.jz.RawRowView(0)[:len(x.slopes)])
	r.with = x.s.covarianceWith(f, r.row, r.gz)
	return r
}

// covariance is that of two readings, or the variance of one.
func (x *nearby) covariance(a, b *nearReading) float64 {
	v := a.with(b.row, b.gz) + x.spare*floats.Dot(a.lost, b.lost)
	if a == b {
		v += a.noise
	}
	return v
}

func (x *nearby) factor() bool {
	n := len(x.list)
	if n == 0 {
		return false
	}
	S, e := x.chol.room(n), mat.NewVecDense(n, nil)
	for i := range x.list {
		e.SetVec(i, x.list[i].e)
		for j := i; j < n; j++ {
			S.SetSym(i, j, x.covariance(x.list[i], x.list[j]))
		}
	}
	x.alpha = mat.NewVecDense(n, nil)
	return x.chol.Factorize(S) && solved(x.chol.SolveVecTo(x.alpha, e))
}

// on is what the readings add to the mean of a quantity and take from its variance.
func (x *nearby) on(row, gz, lost []float64) (shift, less float64) {
	if x == nil {
		return 0, 0
	}
	c := mat.NewVecDense(len(x.list), nil)
	for k := range x.list {
		r := x.list[k]
		c.SetVec(k, r.with(row, gz)+x.spare*floats.Dot(r.lost, lost))
	}
	return mat.Dot(c, x.alpha), solveDot(&x.chol, c)
}
