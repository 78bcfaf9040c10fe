package airflow

// The linear system of a Newton step has the shape of the tree, so it is
// solved by one sweep from the ports to the collector and one back. Each
// segment's flow is first written as δq = a + b·δP of the node it flows into:
//
//	mass      δq = Σ a_j + rm + (Σ b_j + dL/dP)·δP  =: A + B·δP
//	momentum  rf + δP − δP_next − (hc + dR)·δq − Σ h_j·δq_j = 0
//
// with j over the legs of its node.

// step solves for the Newton step and leaves δq in a and δP in b.
func (s *State) step() {
	s.eliminate()
	s.substitute()
}

// eliminate goes from the ports to the collector, keeping A in sA, B in sB,
// N = δP·D − δP_next in sH, and the pivot in d.
func (s *State) eliminate() {
	m := s.m
	clear(s.sA)
	clear(s.sB)
	clear(s.sH)
	clear(s.sG)
	for x := len(m.seg) - 1; x >= 0; x-- {
		sg := &m.seg[x]
		if sg.node == portNode {
			r := s.dR[x]
			s.a[x], s.b[x] = s.rf[x]/r, -1/r
		} else {
			A := s.sA[x] + s.rm[x]
			B := s.sB[x] + s.dl[x]
			r := s.hc[x] + s.dR[x]
			D := 1 - r*B - s.sG[x]
			N := r*A + s.sH[x] - s.rf[x]
			s.sA[x], s.sB[x], s.sH[x], s.d[x] = A, B, N, D
			s.a[x], s.b[x] = A+B*N/D, B/D
		}
		if p := sg.parent; p >= 0 {
			h := s.legSlope(x)
			s.hj[x] = h
			s.sA[p] += s.a[x]
			s.sB[p] += s.b[x]
			s.sH[p] += h * s.a[x]
			s.sG[p] += h * s.b[x]
		}
	}
}

// substitute goes back from the collector to the ports.
func (s *State) substitute() {
	m := s.m
	for x := range m.seg {
		sg := &m.seg[x]
		var next float64
		if sg.parent >= 0 {
			next = s.b[sg.parent]
		}
		if sg.node == portNode {
			s.a[x] += s.b[x] * next
			s.b[x] = 0
			continue
		}
		dp := (next + s.sH[x]) / s.d[x]
		s.a[x] = s.sA[x] + s.sB[x]*dp
		s.b[x] = dp
	}
}
