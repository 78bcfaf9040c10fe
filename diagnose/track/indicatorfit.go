package track

import (
	"context"
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/search"
)

// tracker looks at surveys one by one, each against the same reference: what
// the surveys taken as sound have taught of the as-built system.
type tracker struct {
	m      *airflow.Model
	u      *asbuilt.Unknowns
	l      fit.Layout
	list   []*indicator
	filter int // index of the filter in list, or -1
	// filterAt is the filter's state in the reference, in standard deviations of the page's.
	filterAt float64
	shared   fit.Prior
	lenses   map[string]*linearisation

	portFlow []float64   // of each port alone, in the reference, m³/s
	portSD   []float64   // of its logarithm
	portGrad [][]float64 // derivative of its logarithm by each indicator's usual change
}

// indicatorFit is what one survey says of the indicators.
type indicatorFit struct {
	b      *observe.Bound
	list   []*indicator
	filter int

	// With S the covariance of the readings of a sound system, J the indicators'
	// columns, r what the readings lie off and F the part of S that is new in
	// each survey apart from the filter's state: X = S⁻¹J, info = JᵀX, pull = Xᵀr,
	// fresh = XᵀFX, last = XᵀLX with L what all surveys have in common.
	info, fresh, last *mat.SymDense
	pull              *mat.VecDense

	at     []float64 // all indicators' changes as fitted, in their usual ones
	ports  []change  // logarithm of each port's flow, alone, to that in the reference
	wrong  []setAsideRow
	broke  []setAsideRow // kept, since a fault explains them; with what would fit without it
	free   []int         // indicators that follow such a fault
	misfit float64       // of the readings left, per reading; about 1 or less
}

// setAsideRow is an observation that lies far off what all others say.
type setAsideRow struct {
	Observation int
	fits        float64
	reason      fault.Slip
}

// change is an estimate of how far something has moved from the reference.
type change struct {
	value   float64
	sd      float64 // posterior
	fresh   float64 // standard deviation that is new in each survey, if nothing has changed
	lasting float64 // standard deviation of what all surveys against this reference have in common
	none    bool    // the survey says nothing of it
}

// Bounds of a glance. Common practice, no source.
const (
	OddLimit  = 5.0 // standard deviations a reading may lie off what all others say before it is set aside
	bentAt    = 2.0 // usual changes from which on the model is linearised anew
	bendsMost = 6
	bendStep  = 5.0 // usual changes that one step may go

	keepRounds = 3 // in which what lasts is kept: beside one reading kept another may be odd
)

// fitIndicators fits a survey's indicators, rows that lie far off set aside but for
// those that are to be kept, and those that a fault at their own port explains.
func (t *tracker) fitIndicators(b *observe.Bound, keep map[int]bool) (*indicatorFit, error) {
	k := &indicatorFit{b: b, filter: t.filter}
	v := t.lenses[layoutKey(b)].on(b)
	e := &explainer{t: t}
	aside, done, asked := map[int]bool{}, map[int]bool{}, map[int]bool{}
	for {
		if err := v.weigh(aside); err != nil {
			return nil, err
		}
		odd, found := v.oddest(aside, done)
		if !found || len(aside) >= len(b.Observation)/3 {
			break
		}
		i := odd.Observation
		if !asked[i] {
			asked[i] = true
			if c := e.explains(b, i, aside, keep[i]); c != nil {
				v.follows(c)
				done[i], aside, k.wrong = true, map[int]bool{}, nil // what was odd may be so no more
				k.broke = append(k.broke, odd)
				continue
			}
		}
		if keep[i] {
			done[i] = true
			continue
		}
		aside[i] = true
		k.wrong = append(k.wrong, odd)
	}
	k.list, k.free = v.list, v.free
	k.info, k.fresh, k.last, k.pull = v.info, v.fresh, v.last, v.pull
	k.at, k.misfit = v.x, v.misfit
	for i := range k.wrong { // what would fit is clear only without all of them
		k.wrong[i].fits = v.expected(k.wrong[i].Observation)
	}
	t.name(k)
	t.lookAtPorts(k)
	return k, nil
}

// name finds for each reading set aside the slip that explains it, if there is one.
func (t *tracker) name(k *indicatorFit) {
	if len(k.wrong) == 0 {
		return
	}
	s := fit.NewStudy(t.m, t.u, t.l, k.b, t.shared)
	all := search.WrongRows(s)
	for i := range k.wrong {
		x := &k.wrong[i]
		o := &s.Observation[x.Observation]
		x.reason = SlipOf(all, x.Observation, o, x.fits)
	}
}

// lookAtPorts works out how far the survey's changes move each port's flow.
func (t *tracker) lookAtPorts(k *indicatorFit) {
	var flow []float64
	grad := t.portGrad
	if len(k.free) > 0 { // far from the reference flows move otherwise
		c := t.coefsAt(k.list, k.at)
		flow, grad, _ = t.portsBy(&c, k.list, nil) // nil if it can't be solved there
	} else {
		flow = t.flowsAt(k.list, k.at)
	}
	inv, fresh := regular(k.info, k.free), k.freshAll()
	n := len(k.list)
	for p := range t.portFlow {
		c := change{none: inv == nil || flow == nil}
		if !c.none {
			g, w := mat.NewVecDense(n, grad[p]), mat.NewVecDense(n, nil)
			w.MulVec(inv, g)
			c.value = math.Log(math.Max(flow[p], 1e-9) / math.Max(t.portFlow[p], 1e-9))
			c.fresh = math.Sqrt(math.Max(mat.Inner(w, fresh, w), 1e-18))
			c.lasting = math.Sqrt(math.Max(mat.Inner(w, k.last, w), 0))
			c.sd = math.Sqrt(math.Max(mat.Dot(g, w), 1e-18))
		}
		k.ports = append(k.ports, c)
	}
}

// fitAll looks at all surveys, two at a time, each worker its own share.
func (t *tracker) fitAll(ctx context.Context, all []*observe.Bound) ([]*indicatorFit, error) {
	for _, b := range all {
		if len(b.Observation) == 0 {
			return nil, fmt.Errorf("%s: there is no reading in it", b.Survey.File)
		}
		if key := layoutKey(b); t.lenses[key] == nil {
			l, err := t.newLinearisation(b)
			if err != nil {
				return nil, err
			}
			t.lenses[key] = l
		}
	}
	if err := t.portsAtRest(); err != nil {
		return nil, err
	}
	out, errs := make([]*indicatorFit, len(all)), make([]error, len(all))
	numeric.ForEach(len(all), func(i int) {
		if errs[i] = ctx.Err(); errs[i] == nil {
			out[i], errs[i] = t.fitIndicators(all[i], nil)
		}
	})
	if err := errors.Join(errs...); err != nil {
		return nil, err
	}
	keep := make([]map[int]bool, len(all))
	for range keepRounds {
		more := lasting(all, out, keep)
		numeric.ForEach(len(all), func(i int) {
			if errs[i] = ctx.Err(); errs[i] == nil && more[i] {
				out[i], errs[i] = t.fitIndicators(all[i], keep[i])
			}
		})
	}
	return out, errors.Join(errs...)
}

// estimate is what the survey says of one indicator if only it and those in
// active have changed.
func (k *indicatorFit) estimate(i int, active []int) change {
	ix, c := []int{i}, []float64{1}
	for _, x := range active {
		if x != i && k.info.At(x, x) > 1e-9 {
			ix, c = append(ix, x), append(c, 0)
		}
	}
	if n := len(ix) - 1; n > 0 {
		g, v, w := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil), mat.NewVecDense(n, nil)
		for p := range n {
			for q := p; q < n; q++ {
				g.SetSym(p, q, k.info.At(ix[p+1], ix[q+1]))
			}
			g.SetSym(p, p, g.At(p, p)+activeRidge)
			v.SetVec(p, k.info.At(ix[p+1], i))
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
		ck += c[p] * k.info.At(x, i)
		pull += c[p] * k.pull.AtVec(x)
	}
	if ck < leastInfo {
		return change{none: true}
	}
	u := k.list[i].unit / ck
	fresh := within(k.fresh, ix, c)
	if k.filter >= 0 {
		var f float64
		for p, x := range ix {
			f += c[p] * k.info.At(x, k.filter)
		}
		v := k.filterVariance()
		fresh += f * f * v
	}
	out := change{
		value:   u * pull,
		sd:      k.list[i].unit / math.Sqrt(ck),
		fresh:   u * math.Sqrt(math.Max(fresh, 1e-18)),
		lasting: u * math.Sqrt(math.Max(within(k.last, ix, c), 0)),
	}
	if i == k.filter {
		return out.root()
	}
	return out
}

// root turns a share by which something has grown into twice the root of its
// multiple, less 2: near the logarithm, and kinder to what is hardly measured.
func (c change) root() change {
	r := math.Sqrt(math.Max(1+c.value, leastFilter))
	return change{2*r - 2, c.sd / r, c.fresh / r, c.lasting / r, c.none}
}

// filterVariance is that of the filter's state, which is another one in each
// survey, in its usual changes.
func (k *indicatorFit) filterVariance() float64 {
	x := k.list[k.filter]
	return math.Pow(x.usual/x.unit, 2)
}

// freshAll is fresh with the filter's state counted in.
func (k *indicatorFit) freshAll() *mat.SymDense {
	if k.filter < 0 {
		return k.fresh
	}
	n := len(k.list)
	col := mat.NewVecDense(n, nil)
	for j := range n {
		col.SetVec(j, k.info.At(j, k.filter))
	}
	out := mat.NewSymDense(n, nil)
	out.SymRankOne(k.fresh, k.filterVariance(), col)
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

// sharedOut is what the survey says of all indicators together, each drawn to 0
// by its usual change apart from those in active.
func (k *indicatorFit) sharedOut(active []int) []change {
	n := len(k.list)
	out := make([]change, n)
	inv := regular(k.info, active)
	if inv == nil {
		for i := range out {
			out[i].none = true
		}
		return out
	}
	x := mat.NewVecDense(n, nil)
	x.MulVec(inv, k.pull)
	var fi mat.Dense
	full := mat.DenseCopyOf(inv)
	fi.Mul(mat.DenseCopyOf(k.freshAll()), full)
	for i := range out {
		u, fresh := k.list[i].unit, 0.0
		for j, w := range full.RawRowView(i) {
			fresh += w * fi.At(j, i)
		}
		out[i] = change{value: u * x.AtVec(i), sd: u * math.Sqrt(inv.At(i, i)), fresh: u * math.Sqrt(math.Max(fresh, 1e-18))}
	}
	return out
}

// activeRidge keeps what is active within a hundred of its usual changes.
const activeRidge = 1e-4

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
