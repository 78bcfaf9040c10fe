package weigh

import (
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/readings"
)

const (
	nearMost  = 6   // readings that what is said of a port is held against
	nearOut   = 3.5 // sigmas by which a reading is out that is not believed there
	nearPorts = 3   // ports whose air together is held against theirs

	tellerStates = 16 // configurations whose solution is kept at a time
)

// Nearest are those of a port's line that bear most on it in a setting of the
// gates: those read in it, then those with the fewest gates open.
func (w *WholeSurvey) Nearest(port int, open readings.Open) []int {
	rank := func(i int) int {
		o := w.B.Configs[w.S.Observation[i].Cfg].Open
		switch {
		case o.String() == open.String():
			return -1
		case o.All:
			return w.S.M.Gates()
		}
		return len(o.Gates)
	}
	out := slices.Clone(w.Line[port])
	sort.SliceStable(out, func(a, b int) bool { return rank(out[a]) < rank(out[b]) })
	return out[:min(len(out), nearMost)]
}

// Conditioner works out what readings near a port tell under one fit of a search.
type Conditioner struct {
	w      *WholeSurvey
	s      *fit.Study // of the search
	t      *fit.Study // of all readings
	f      *fit.Fit
	slopes [][]fault.Slope
	jz     *mat.Dense
	solved map[int]*airflow.State // by configuration
	ports  []int                  // last asked for
	known  map[int]*numeric.NearReading
}

// Under is nil if the search had all readings.
func (w *WholeSurvey) Under(s *fit.Study, f *fit.Fit) *Conditioner {
	if w == nil {
		return nil
	}
	x := &Conditioner{w: w, s: s, t: w.S.Twin(), f: f, solved: map[int]*airflow.State{}}
	x.t.SetCoefs(f.At, f.Faults)
	for k, v := range f.Faults {
		x.slopes = append(x.slopes, v.Slopes(&x.t.Coef, f.At.Z[k]))
	}
	x.jz = mat.NewDense(1, max(len(x.slopes), 1), nil)
	return x
}

// state is the system in a configuration of the survey; nil if it can't be solved.
func (x *Conditioner) state(cfg int) *airflow.State {
	st, ok := x.solved[cfg]
	if ok {
		return st
	}
	if len(x.solved) >= tellerStates {
		clear(x.solved)
	}
	if st = x.t.M.NewState(); st.Solve(&x.t.Coef, x.w.B.Configs[cfg].Config) != nil {
		st = nil
	} else {
		st.Prepare()
	}
	x.solved[cfg] = st
	return st
}

// Near is what the readings nearest some ports tell of what they draw together;
// nil: nothing, or there are so many ports that a few readings tell little.
func (x *Conditioner) Near(open readings.Open, ports ...int) *numeric.Nearby {
	if x == nil || len(ports) > nearPorts {
		return nil
	}
	if !slices.Equal(x.ports, ports) { // those of one port at a time, or a plant's take too much memory
		x.ports, x.known = slices.Clone(ports), map[int]*numeric.NearReading{}
	}
	y := &numeric.Nearby{Spare: x.s.PriorScale * x.s.PriorScale * x.s.Pr.Scale}
	for _, p := range ports {
		for _, i := range x.w.Nearest(p, open) {
			r, ok := x.known[i]
			if !ok {
				if st := x.state(x.t.Observation[i].Cfg); st != nil {
					r = x.reading(st, i)
				}
				x.known[i] = r
			}
			if r != nil && math.Abs(r.E) < nearOut*math.Sqrt(y.Covariance(r, r)) {
				y.List = append(y.List, r)
			}
		}
	}
	if !y.Factor() {
		return nil
	}
	return y
}

func (x *Conditioner) reading(st *airflow.State, i int) *numeric.NearReading {
	t, f := x.t, x.f
	r := &numeric.NearReading{Row: make([]float64, t.N), Lost: make([]float64, t.All), Noise: t.BaseNoise(i), E: t.Observation[i].Y - t.Value(st, f.At.Theta, i)}
	t.JacobianRow(st, f.At.Theta, &t.Observation[i], 0, r.Row, x.jz, x.slopes)
	if t.Lost != nil {
		t.Lost.Row(t.Grad, t.Vals, r.Lost)
	}
	r.Gz = slices.Clone(x.jz.RawRowView(0)[:len(x.slopes)])
	r.With = x.s.CovarianceWith(f, r.Row, r.Gz)
	return r
}
