package fit

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/branch"
	"lostair/diagnose/internal/observe"
)

// Jacobian fills J (observations × parameters) and Jz (observations × faults)
// at the point last predicted.
func (s *Study) Jacobian(p Point, h Hypothesis, j, jz *mat.Dense) {
	j.Zero()
	s.derive(p, h, jz, j.RawRowView, func(int) bool { return true }, func(int) {})
}

// derive works the derivatives of each observation out in what row gives for
// it, of those that need says, and calls done after each. Those by severities
// go to jz for all, unless it is nil.
func (s *Study) derive(p Point, h Hypothesis, jz *mat.Dense, row func(i int) []float64, need func(i int) bool, done func(i int)) {
	if s.pair != nil {
		s.pair.derive(p, h, jz, row, need, done)
		return
	}
	var slopes [][]fault.Slope
	for k, v := range h.Faults {
		if jz != nil {
			slopes = append(slopes, v.Slopes(&s.Coef, p.Z[k]))
		}
	}
	alt := readOtherwise(h.Rows)
	for c, st := range s.States {
		if len(s.By[c]) == 0 || len(slopes) == 0 && !slices.ContainsFunc(s.By[c], need) {
			continue
		}
		st.Prepare()
		for _, i := range s.By[c] {
			if !need(i) {
				if len(slopes) > 0 {
					s.JacobianRow(st, p.Theta, &s.Observation[i], i, nil, jz, slopes)
				}
				continue
			}
			use, o := st, &s.Observation[i]
			if w, ok := alt[i]; ok {
				really := s.as(w)
				o = &really
				if w.Cfg >= 0 {
					use = s.States[w.Cfg]
					use.Prepare()
				}
			}
			s.JacobianRow(use, p.Theta, o, i, row(i), jz, slopes)
			done(i)
		}
	}
}

// readOtherwise are those of wrong rows that are believed otherwise, by observation.
func readOtherwise(rows []*Wrong) map[int]*Wrong {
	out := map[int]*Wrong{}
	for _, w := range rows {
		if !w.Drop {
			out[w.Observation] = w
		}
	}
	return out
}

// derive is Study.derive: what both surveys have moves the readings of both.
func (p *Pair) derive(at Point, h Hypothesis, jz *mat.Dense, row func(i int) []float64, need func(i int) bool, done func(i int)) {
	for k, s := range p.S {
		from, m := p.Row(k), len(s.Observation)
		q, part, ix := p.Part(k, at, h)
		s.SetCoefs(q, part.Faults)
		var own *mat.Dense
		if jz != nil && len(ix) > 0 {
			own = mat.NewDense(m, len(ix), nil)
		}
		buf := make([]float64, s.N)
		s.derive(q, part, own, func(int) []float64 { clear(buf); return buf }, func(i int) bool { return need(from + i) }, func(i int) {
			to := row(from + i)
			for x, v := range buf {
				to[p.Column(k, x)] += v
			}
			done(from + i)
		})
		if jz == nil {
			continue
		}
		for i := range m {
			clear(jz.RawRowView(from + i))
			for c, x := range ix {
				jz.Set(from+i, x, own.At(i, c))
			}
		}
	}
}

// JacobianRow adds the slopes of observation i, read as o says, by every parameter to
// row, unless that is nil, and sets those by the severities in jz.
func (s *Study) JacobianRow(st *airflow.State, theta []float64, o *observe.Observation, i int, row []float64, jz *mat.Dense, slopes [][]fault.Slope) {
	st.Sensitivity(o.Probe, s.Grad)
	if row != nil {
		s.U.Row(s.Grad, s.Vals, row)
	}
	s.bySlopes(i, s.asRead(st, theta, o, row, nil), jz, slopes)
}

// sparseRow keeps the slopes of observation i, read as o says with configuration c in
// branch at, among rows by branches. row is empty before and after.
func (s *Study) sparseRow(rows *branch.Rows, g *airflow.Gradient, theta []float64, o *observe.Observation, i, c int, at int32, row []float64) {
	st := s.States[c]
	st.Sensitivity(o.Probe, g)
	s.asRead(st, theta, o, row, rows.Away(i, c, at, s.U, g, s.Vals, row))
	rows.Keep(i, row)
}

// asRead turns the slopes of what a probe should show into those of what is read
// there, and returns by how much that multiplies them. far is what it multiplies beside row.
func (s *Study) asRead(st *airflow.State, theta []float64, o *observe.Observation, row, far []float64) float64 {
	y, scale := st.Value(o.Probe), 1.0
	plus := func(ix int, by float64) {
		if row != nil {
			row[ix] += by
		}
	}
	// What multiplies the reading multiplies its slopes.
	multiply := func(ix int, k, by float64) { // by: the slope of k by the parameter
		floats.Scale(k, row)
		floats.Scale(k, far)
		plus(ix, by*y)
		y, scale = y*k, scale*k
	}
	if o.TapIx >= 0 {
		by := asbuilt.TapError * st.VelocityPressure(o.Probe)
		plus(o.TapIx, by)
		y += theta[o.TapIx] * by
	}
	if o.AxisIx >= 0 {
		by := asbuilt.ProfileError * ProfilePower(o)
		multiply(o.AxisIx, 1+theta[o.AxisIx]*by, by)
	}
	if p := DensityPower(o); p != 0 {
		by := asbuilt.DensityOfDay * p
		multiply(s.Day, 1+theta[s.Day]*by, by)
	}
	if o.Air != 0 {
		k := math.Exp(theta[LooseAt(s.Day)] * o.Air)
		multiply(LooseAt(s.Day), k, o.Air*k)
	}
	if o.Off != 0 {
		k := math.Exp(theta[o.GainIx] * o.Off)
		multiply(o.GainIx, k, o.Off*k)
	} else {
		plus(o.GainIx, o.Gain)
	}
	if o.Zero != 0 {
		plus(LooseAt(s.Day), o.Zero)
	}
	return scale
}

// bySlopes fills in what the severities do to an observation, from the gradient last worked out.
func (s *Study) bySlopes(i int, scale float64, jz *mat.Dense, slopes [][]fault.Slope) {
	for k, sl := range slopes {
		var d float64
		for _, e := range sl {
			d += *e.Slot.Of(&s.Grad.Coefs) * e.By
		}
		jz.Set(i, k, d*scale)
	}
}
