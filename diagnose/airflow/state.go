package airflow

import "lostair/diagnose/handbook"

// State is a solution and the workspace of the solver; reuse it, and the next
// solve starts from the last one and allocates nothing.
type State struct {
	m   *Model
	c   *Coefs
	cfg Config
	Q   []float64 // flow of each segment, m³/s, positive towards the collector
	P   []float64 // static pressure at each segment's upstream node, Pa gauge

	k    []float64 // total local loss
	kept []kept
	row  []row
	move []pair // the step last taken
	legs []sums // by depth: of what flows into the node being looked at
	drop []pair // by depth: step and pressure of the nodes on the way
	open []bool // gates of the last solution
	back []back // slopes at the solution, made by Prepare

	dCol      [2]float64 // of the collector's halves: slope of the loss by flow
	exchanged float64    // share of the exchange at joins that is in the equations; 1 but in a continuation

	Iterations int
	Damped     int     // steps that had to be shortened
	Continued  int     // stages of a continuation that had to be gone through
	Brief      bool    // set by the caller: give up where Newton's method does not find a solution soon, whether or not there is one
	Unchecked  bool    // set by the caller: leave out the last sweep, which only finds the balance; some 1e-8 of it may be left
	Roughly    bool    // set by the caller: be content with some 1e-5 of the balance
	Imbalance  float64 // largest mass residual that a sweep found last, relative to the collector's flow
	warm       bool
}

// kept is what a segment's last friction and leakage were worked out at.
type kept struct {
	friction handbook.Carried
	r, w     float64 // p²+ε² and the power of it
}

// row is a segment's row of the eliminated linear system:
// δP = n + e·δP_next, δq = a + b·δP (of a port: a + b·δP_next).
type row struct{ n, e, a, b float64 }

type pair struct{ q, p float64 }

// sums are those over the legs of a node: flow, exchange, Σa, Σb, Σ h_j a_j, Σ h_j b_j.
type sums struct{ q, v, a, b, ha, hb float64 }

// back is what the adjoint sweep needs of a segment.
type back struct {
	b, d, r, h       float64 // B, 1/D, hc+dR, slope of the exchange at the next node; of a port d is −1/r
	f                float64 // friction factor × L/D
	perArea, perSeep float64 // leak at the node by area and by seepage
	factor           float64 // on the legs' h (handbook joins)
	rf, rm           float64 // residuals
}

// NewState returns a workspace for the model.
func (m *Model) NewState() *State {
	n, d := len(m.link), m.deepest+2
	buf := make([]float64, 3*n)
	return &State{m: m, Q: buf[:n:n], P: buf[n : 2*n : 2*n], k: buf[2*n:],
		kept: make([]kept, n), row: make([]row, n), move: make([]pair, n),
		legs: make([]sums, d), drop: make([]pair, d), open: make([]bool, len(m.gates)), exchanged: 1}
}

// StartFrom makes the next solve start from another state's solution, of a
// model that differs little; afresh if that has other segments.
func (s *State) StartFrom(o *State) {
	s.warm = o.warm && len(s.Q) == len(o.Q) && len(s.open) == len(o.open)
	if !s.warm {
		return
	}
	copy(s.Q, o.Q)
	copy(s.P, o.P)
	copy(s.open, o.open)
	for x := range s.kept {
		s.kept[x] = kept{friction: handbook.Carried{Root: o.kept[x].friction.Root}}
	}
}

// Cold forgets the last solution, so that the next solve starts afresh.
func (s *State) Cold() { s.warm = false }

// guess is a first guess of 1/√f.
func (s *State) guess(x int32) float64 { return s.kept[x].friction.Root }

// PortFlow is the flow into a port, m³/s.
func (s *State) PortFlow(port int) float64 { return s.Q[s.m.ports[port]] }

// DuctFlow is the flow at a duct's downstream end, m³/s.
func (s *State) DuctFlow(d int) float64 { return s.Q[s.m.final[d]] }

// CollectorFlow is the flow through the fan, m³/s.
func (s *State) CollectorFlow() float64 { return s.Q[s.m.fanSeg] }
