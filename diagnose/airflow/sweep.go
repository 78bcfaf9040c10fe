package airflow

import "math"

// A Newton step's linear system has the shape of the tree, so it is solved by
// one sweep from the ports to the collector and one back. Each segment's flow
// is first written as δq = a + b·δP of the node it flows into:
//
//	mass      δq = Σ a_j + rm + (Σ b_j + dL/dP)·δP  =: A + B·δP
//	momentum  rf + δP − δP_next − (hc + dR)·δq − Σ h_j·δq_j = 0
//
// with j over the legs of its node. The sweep up evaluates every equation and
// its slopes at the present iterate on the way, so that an iteration passes
// over the plant twice. Segments stand depth first: all legs of a node have
// been met when the sweep comes to it and no other node of its depth is open,
// so sums over legs are kept by depth, in a few cache lines.

// up evaluates all equations, eliminates, and returns the largest residual,
// relative. rec, if given, takes what the adjoint sweep needs.
func (s *State) up(rec []back) float64 {
	m, c := s.m, s.c
	links := m.link
	n := len(links)
	Q, P, K, fm, rows := s.Q[:n], s.P[:n], s.k[:n], c.Friction[:n], s.row[:n]
	var worstF, mass float64
	for x := n - 1; x >= 0; x-- {
		l := &links[x]
		q := Q[x]
		aq := math.Abs(q)
		k, slope, f := K[x], 0.0, 0.0
		if l.lod > 0 {
			var df float64
			f, df = s.kept[x].friction.Factor(l.re*aq, l.rel)
			f *= l.lod
			k += fm[x] * f
			slope = fm[x] * df * l.lod
		}
		loss := k * l.vp * q * aq
		dR := l.vp * aq * (2*k + slope)
		if x <= 1 {
			s.collectorLoss(int32(x), q, &loss, &dR)
			s.dCol[x] = dR
		}
		var next, a, b float64
		if l.parent >= 0 {
			next = P[l.parent]
		}
		if l.node == portNode {
			rf := -next - l.vp*q*aq - loss
			d := -1 / (dR + 2*l.vp*aq)
			a, b = -rf*d, d
			rows[x] = row{a: a, b: b}
			worstF = max(worstF, math.Abs(rf))
			if rec != nil {
				rec[x] = back{b: b, d: d, f: f, rf: rf}
			}
		} else {
			j := s.legs[l.depth]
			s.legs[l.depth] = sums{}
			h, hc, factor := s.exchange(l, q, j.v)
			leak, dl := s.leak(x, P[x])
			rf := P[x] - next - h - loss
			rm := j.q + leak - q
			r := hc + dR
			A, B := j.a+rm, j.b+dl
			e := 1 / (1 - r*B - factor*j.hb)
			N := (r*A + factor*j.ha - rf) * e
			a, b = A+B*N, B*e
			rows[x] = row{N, e, A, B}
			worstF = max(worstF, math.Abs(rf))
			mass = max(mass, math.Abs(rm))
			if rec != nil {
				pa, ps := s.leakPer(x, P[x])
				rec[x] = back{b: B, d: e, r: r, f: f, perArea: pa, perSeep: ps, factor: factor, rf: rf, rm: rm}
			}
		}
		if l.parent >= 0 {
			v, w := s.brought(x, l, q)
			p := &s.legs[l.depth-1]
			p.q += q
			p.v += v
			p.a += a
			p.b += b
			p.ha += w * a
			p.hb += w * b
			if rec != nil {
				rec[x].h = w
			}
		}
	}
	scaleP := m.fan.First.Pressure * max(c.Speed*c.Speed, 1e-6) * m.Air.Density / m.fan.Density
	s.Imbalance = mass / (math.Abs(Q[0]) + 1e-12)
	if worst := max(worstF/scaleP, s.Imbalance); !math.IsNaN(worst) {
		return worst
	}
	return math.Inf(1)
}

// throttled is the loss beyond which a flow is taken that goes with the
// pressures on either side, as long as those still move: it hardly acts on
// them, while Newton's step for a flow that is to become much smaller halves it.
const (
	throttled = 1000
	overdone  = 0.9 // share of the flow by Newton's step below which that is so
)

// down goes back from the collector to the ports and takes the step. far says
// that the solution is some way off yet.
func (s *State) down(far bool) {
	links := s.m.link
	n := len(links)
	Q, P, K, rows, move, drop := s.Q[:n], s.P[:n], s.k[:n], s.row[:n], s.move[:n], s.drop
	drop[0].p = 0
	for x := range links {
		l, r := &links[x], &rows[x]
		next := drop[l.depth-1].p
		var dq, dp float64
		if l.node == portNode {
			dq = r.a + r.b*next
		} else {
			dp = r.n + r.e*next
			dq = r.a + r.b*dp
			drop[l.depth].p = dp
			P[x] += dp
		}
		if far && K[x] > throttled && x > 1 {
			if p := P[x] - P[l.parent]; p > 0 {
				if q := math.Sqrt(p / (l.vp * K[x])); q < overdone*(Q[x]+dq) {
					dq = q - Q[x]
				}
			}
		}
		Q[x] += dq
		move[x] = pair{dq, dp}
	}
}
