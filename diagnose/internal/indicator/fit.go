package indicator

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/screen"
	"lostair/diagnose/internal/search"
)

// Fit is what one survey says of the indicators.
type Fit struct {
	B      *observe.Bound
	List   []*Indicator // those of the tracker, or what stands in their places
	Filter int          // index of the filter in List, or -1

	// With S the covariance of the readings of a sound system, J the indicators'
	// columns, r what the readings lie off and F the part of S that is new in
	// each survey apart from the filter's state: X = S⁻¹J, Info = JᵀX, Pull = Xᵀr,
	// Fresh = XᵀFX, Last = XᵀLX with L what all surveys have in common.
	Info, Fresh, Last *mat.SymDense
	Pull              *mat.VecDense

	At     []float64  // all indicators' changes as fitted, in their usual ones
	Ports  []Change   // logarithm of each port's flow, alone, to that in the reference
	Wrong  []SetAside // what no change explains
	broke  []SetAside // kept, since a fault explains them; with what would fit without it
	free   []int      // indicators that follow such a fault
	Misfit float64    // of the readings left, per reading; about 1 or less
}

// SetAside is an observation that lies far off what all others say.
type SetAside struct {
	Observation int
	Fits        float64 // value that would fit
	Reason      fault.Slip
}

// Bounds of a survey's fit. Common practice, no source.
const (
	OddLimit = 5.0 // standard deviations a reading may lie off what all others say before it is set aside
	bentAt   = 2.0 // usual changes from which on a survey is fitted to the bent model, not on the straight line from the reference
	farOut   = 3.0 // times as large as expected a written value is that must be a slip

	LeastFilter = 0.05 // share of its drop below which no filter is said to be
)

// forCharts is a study for the charts: the instrument of a value written far too large
// erred as it does where it stood, not where it is written.
func (t *Tracker) forCharts(b *observe.Bound) (*fit.Study, error) {
	s := t.study(b)
	s.Held = true
	h := make([]float64, len(s.Observation))
	if s.Predict(s.Before(), fit.Hypothesis{}, h) != nil {
		return s, fmt.Errorf("%s: the model could not be solved: %w", b.Survey.File, s.Failed)
	}
	for i := range s.Observation {
		o := &s.Observation[i]
		if y := o.Y; math.Abs(y) > farOut*math.Abs(h[i]) {
			*o = o.Valued(h[i], b.Survey.Readings[o.Reading].Quantity, t.M.Air.Density)
			o.Y = y
		}
	}
	return s, nil
}

// fitIndicators fits a survey's indicators, rows that lie far off set aside except
// those that are to be kept, and those that a fault at their own port explains.
func (t *Tracker) fitIndicators(b *observe.Bound, keep map[int]bool) (*Fit, error) {
	s, err := t.forCharts(b)
	if err != nil {
		return nil, err
	}
	k := &Fit{B: b, List: slices.Clone(t.List), Filter: t.filter}
	var h fit.Hypothesis
	for _, x := range k.List {
		h.Faults = append(h.Faults, x.change(false))
	}
	start := s.Before()
	start.Z = make([]float64, len(k.List))
	e := &explainer{t: t}
	done, asked := map[int]bool{}, map[int]bool{}
	for {
		f := s.Straight(h, start)
		if f.Ok() && floats.Norm(f.At.Z, math.Inf(1))*inAStep > bentAt {
			f = s.FitFrom(h, start, fit.PatienceFar)
		}
		if !f.Ok() {
			return nil, fmt.Errorf("%s: its readings can't be weighed", b.Survey.File)
		}
		i, fits, far := screen.Oddest(s, f, done)
		if far <= OddLimit || len(h.Rows) >= len(s.Observation)/3 {
			if !k.take(s, f, t.l.N) {
				return nil, fmt.Errorf("%s: its readings can't be weighed", b.Survey.File)
			}
			t.name(k)
			t.lookAtPorts(k)
			return k, nil
		}
		odd := SetAside{Observation: i, Fits: fits}
		if !asked[i] {
			asked[i] = true
			if c := e.explains(b, i, h.Rows, keep[i]); c != nil {
				k.List[c.ind], h.Faults[c.ind], h.Rows = c.as, c.as.change(true), nil // what was odd may be so no more
				start.Z[c.ind] = c.at / inAStep
				if !numeric.Contains(k.free, c.ind) {
					k.free = append(k.free, c.ind)
				}
				done[i], k.Wrong = true, nil
				k.broke = append(k.broke, odd)
				continue
			}
		}
		if keep[i] {
			done[i] = true
			continue
		}
		h.Rows = append(slices.Clone(h.Rows), search.Dropped(s, i))
		k.Wrong = append(k.Wrong, odd)
	}
}

// take works out what the survey says of the indicators from its fit; the first shared
// parameters are those that all surveys have in common. False if it can't be done.
func (k *Fit) take(s *fit.Study, f *fit.Fit, shared int) bool {
	k.At = make([]float64, len(k.List))
	floats.ScaleTo(k.At, inAStep, f.At.Z)
	k.Misfit = f.Fit.Quad / float64(len(s.Observation))
	d := f.Fit
	m, n := d.Jz.Dims()
	for i := range k.Wrong { // what would fit is clear only without all of them
		x := &k.Wrong[i]
		x.Fits = d.Y[x.Observation] - d.R[x.Observation] + floats.Dot(d.Jz.RawRowView(x.Observation), f.At.Z)
	}
	var jz mat.Dense // by usual changes
	jz.Scale(1/inAStep, d.Jz)
	last, fresh := mat.NewSymDense(m, nil), mat.NewSymDense(m, nil)
	last.SymOuterK(s.Pr.Scale, d.J.Slice(0, m, 0, shared))
	if s.Pr.V != nil {
		var jv mat.Dense
		jv.Mul(d.J, s.Pr.V)
		var q mat.SymDense
		q.SymOuterK(-1, &jv)
		last.AddSym(last, &q)
	}
	own := mat.DenseCopyOf(d.J.Slice(0, m, shared, s.N))
	for i := range m {
		own.Set(i, s.Day-2-shared, 0) // the filter's state is counted in where it is asked for
	}
	fresh.SymOuterK(1, own)
	for i, v := range d.Noise {
		fresh.SetSym(i, i, fresh.At(i, i)+v)
	}
	x, by := mat.NewDense(m, n, nil), mat.NewVecDense(m, nil)
	for i := range n {
		if !numeric.Solved(d.Sound.SolveVecTo(by, mat.VecDenseCopyOf(jz.ColView(i)))) {
			return false
		}
		x.SetCol(i, by.RawVector().Data)
	}
	k.Info, k.Fresh, k.Last = sandwich(&jz, x), quadratic(fresh, x), quadratic(last, x)
	k.Pull = mat.NewVecDense(n, nil)
	k.Pull.MulVec(x.T(), mat.NewVecDense(m, d.R))
	return true
}

func sandwich(a, b *mat.Dense) *mat.SymDense {
	var p mat.Dense
	p.Mul(a.T(), b)
	n, _ := p.Dims()
	out := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			out.SetSym(i, j, (p.At(i, j)+p.At(j, i))/2)
		}
	}
	return out
}

func quadratic(s *mat.SymDense, x *mat.Dense) *mat.SymDense {
	var p mat.Dense
	p.Mul(s, x)
	return sandwich(x, &p)
}

// name finds for each reading set aside the slip that explains it, if there is one.
func (t *Tracker) name(k *Fit) {
	if len(k.Wrong) == 0 {
		return
	}
	s := t.Against(k.B)
	all := search.WrongRows(s)
	for i := range k.Wrong {
		x := &k.Wrong[i]
		o := &s.Observation[x.Observation]
		x.Reason = SlipOf(all, x.Observation, o, x.Fits)
	}
}

// lookAtPorts works out how far the survey's changes move each port's flow.
func (t *Tracker) lookAtPorts(k *Fit) {
	var flow []float64
	grad := t.portGrad
	if len(k.free) > 0 { // far from the reference flows move otherwise
		flow, grad, _ = t.portsBy(k.List, k.At, nil) // nil if it can't be solved there
	} else {
		flow = t.FlowsAt(k.List, k.At)
	}
	inv, fresh := regular(k.Info, k.free), k.freshAll()
	n := len(k.List)
	for p := range t.PortFlow {
		c := Change{None: inv == nil || flow == nil}
		if !c.None {
			g, w := mat.NewVecDense(n, grad[p]), mat.NewVecDense(n, nil)
			w.MulVec(inv, g)
			c.Value = math.Log(math.Max(flow[p], 1e-9) / math.Max(t.PortFlow[p], 1e-9))
			c.Fresh = math.Sqrt(math.Max(mat.Inner(w, fresh, w), 1e-18))
			c.Lasting = math.Sqrt(math.Max(mat.Inner(w, k.Last, w), 0))
			c.Sd = math.Sqrt(math.Max(mat.Dot(g, w), 1e-18))
		}
		k.Ports = append(k.Ports, c)
	}
}

// Estimate is what the survey says of one indicator if only it and those in
// active have changed.
func (k *Fit) Estimate(i int, active []int) Change {
	ix, c := []int{i}, []float64{1}
	for _, x := range active {
		if x != i && k.Info.At(x, x) > 1e-9 {
			ix, c = append(ix, x), append(c, 0)
		}
	}
	if n := len(ix) - 1; n > 0 {
		g, v, w := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil), mat.NewVecDense(n, nil)
		for p := range n {
			for q := p; q < n; q++ {
				g.SetSym(p, q, k.Info.At(ix[p+1], ix[q+1]))
			}
			g.SetSym(p, p, g.At(p, p)+activeRidge)
			v.SetVec(p, k.Info.At(ix[p+1], i))
		}
		var ch mat.Cholesky
		if ch.Factorize(g) && numeric.Solved(ch.SolveVecTo(w, v)) {
			for p := range n {
				c[p+1] = -w.AtVec(p)
			}
		}
	}
	var ck, pull float64
	for p, x := range ix {
		ck += c[p] * k.Info.At(x, i)
		pull += c[p] * k.Pull.AtVec(x)
	}
	if ck < leastInfo {
		return Change{None: true}
	}
	u := k.List[i].Unit / ck
	fresh := within(k.Fresh, ix, c)
	if k.Filter >= 0 {
		var f float64
		for p, x := range ix {
			f += c[p] * k.Info.At(x, k.Filter)
		}
		v := k.filterVariance()
		fresh += f * f * v
	}
	out := Change{
		Value:   u * pull,
		Sd:      k.List[i].Unit / math.Sqrt(ck),
		Fresh:   u * math.Sqrt(math.Max(fresh, 1e-18)),
		Lasting: u * math.Sqrt(math.Max(within(k.Last, ix, c), 0)),
	}
	if i == k.Filter {
		return out.Root()
	}
	return out
}

// Root turns a share by which something has grown into twice the root of its
// multiple, less 2: near the logarithm, and kinder to what is hardly measured.
func (c Change) Root() Change {
	r := math.Sqrt(math.Max(1+c.Value, LeastFilter))
	return Change{2*r - 2, c.Sd / r, c.Fresh / r, c.Lasting / r, c.None}
}

// filterVariance is that of the filter's state, which is another one in each
// survey, in its usual changes.
func (k *Fit) filterVariance() float64 {
	x := k.List[k.Filter]
	return math.Pow(x.Usual/x.Unit, 2)
}

// freshAll is fresh with the filter's state counted in.
func (k *Fit) freshAll() *mat.SymDense {
	if k.Filter < 0 {
		return k.Fresh
	}
	n := len(k.List)
	col := mat.NewVecDense(n, nil)
	for j := range n {
		col.SetVec(j, k.Info.At(j, k.Filter))
	}
	out := mat.NewSymDense(n, nil)
	out.SymRankOne(k.Fresh, k.filterVariance(), col)
	return out
}

// leastInfo is how little a survey may say of an indicator and still be asked:
// its usual change would be a thirtieth of a standard deviation.
const leastInfo = 1e-3

// within is cᵀ·s·c for a c that is 0 but at ix.
func within(s *mat.SymDense, ix []int, c []float64) float64 {
	var out float64
	for p, x := range ix {
		for q, y := range ix {
			out += c[p] * s.At(x, y) * c[q]
		}
	}
	return out
}

// SharedOut is what the survey says of all indicators together, each drawn to 0
// by its usual change apart from those in active.
func (k *Fit) SharedOut(active []int) []Change {
	n := len(k.List)
	out := make([]Change, n)
	inv := regular(k.Info, active)
	if inv == nil {
		for i := range out {
			out[i].None = true
		}
		return out
	}
	x := mat.NewVecDense(n, nil)
	x.MulVec(inv, k.Pull)
	var fi mat.Dense
	full := mat.DenseCopyOf(inv)
	fi.Mul(mat.DenseCopyOf(k.freshAll()), full)
	for i := range out {
		u, fresh := k.List[i].Unit, 0.0
		for j, w := range full.RawRowView(i) {
			fresh += w * fi.At(j, i)
		}
		out[i] = Change{Value: u * x.AtVec(i), Sd: u * math.Sqrt(inv.At(i, i)), Fresh: u * math.Sqrt(math.Max(fresh, 1e-18))}
	}
	return out
}

// regular inverts the information of a survey together with that of the usual
// changes, which those in active need not keep to; nil if that fails.
func regular(info *mat.SymDense, active []int) *mat.SymDense {
	n := info.SymmetricDim()
	g := mat.NewSymDense(n, nil)
	g.CopySym(info)
	for i := range n {
		d := 1.0
		if numeric.Contains(active, i) {
			d = activeRidge
		}
		g.SetSym(i, i, g.At(i, i)+d)
	}
	var ch mat.Cholesky
	var inv mat.SymDense
	if !ch.Factorize(g) || !numeric.Solved(ch.InverseTo(&inv)) {
		return nil
	}
	return &inv
}
