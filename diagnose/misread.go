package diagnose

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"lostair/readings/units"
)

// How likely it is that a whole column was misread. Common practice, no source.
const (
	unitsPrior   = 0.01  // that all values of one dimension are in another unit, or of one quantity of the other sign
	gaugePrior   = 0.01  // that an instrument reads far off all along
	gaugeOff     = 0.25  // by how much it then does, as a logarithm, one sigma
	stillPrior   = 0.003 // that the fan did not run
	emptyPrior   = 0.9   // that nothing was read, if every value is nought where the page expects much
	anyFactor    = 0.1   // how likely, beside unitsPrior, a factor is that no unit explains
	misreadLeast = 3     // readings that make a column
	misreadNear  = 0.6   // how far off their page the readings may lie in the right unit, as a share
	misreadFar   = 3.5   // sigmas by which a row is out that may be left out of such a fit,
	misreadMost  = 3     // and how many may be

	farFromNought = 10.0 // sigmas of an instrument at nought that it can't miss
)

// misread is that all of a column was read or written otherwise than it says.
type misread struct {
	h     hypothesis
	gauge int // parameter of an instrument that is off, -1: none
	prior float64
	doubt func(f *fitted) string
}

// misreadings is that a whole column is wrong in one way, and the system sound:
// the unit or the sign, an instrument, or that the fan stood still. Row by row
// each would be one more wrong row, and many of those are less likely than a
// weak fan. It is looked at where the sound system fits badly.
func (g *search) misreadings(page *pageState) []misgiven {
	list := append(g.offInstruments(page), g.otherUnits(page)...)
	out := make([]misgiven, len(list)+1)
	inPairs(len(list), func(i int) {
		x := &list[i]
		s := g.s.twin()
		s.bar, s.ref = math.Inf(-1), nil
		if x.gauge >= 0 {
			s.obs = slices.Clone(s.obs)
			for k := range s.obs {
				if o := &s.obs[k]; o.gainIx == x.gauge {
					o.off = gaugeOff
				}
			}
		}
		f := s.cleaned(x.h)
		out[i] = g.checked(f, x.prior, x.doubt(f))
	})
	out[len(list)] = g.stoodStill()
	if g.nothingRead(page) {
		x := &out[len(list)]
		x.score += math.Log(emptyPrior / stillPrior)
		x.doubt = "Every value is zero, as instruments show when no air moves or when they aren't connected: the readings hold nothing. Check that the fan ran, that the taps were open into the duct, and that the instruments were connected and switched on."
	}
	return out
}

// nothingRead is whether every value is nought to the last digit, which no
// instrument shows of air that moves, although the page expects more than it
// could have missed.
func (g *search) nothingRead(page *pageState) bool {
	if !g.allNought() {
		return false
	}
	for i := range g.s.obs {
		if math.Abs(page.h[i]) > farFromNought*g.s.obs[i].sd {
			return true
		}
	}
	return false
}

func (g *search) allNought() bool { return allNought(g.s.b.survey) }

// cleaned is a fit without the rows that were set aside before or, if that is
// better, without those that are out by this hypothesis.
func (s *study) cleaned(h hypothesis) *fitted {
	f := s.fitWithout(h)
	fresh := hypothesis{rows: slices.DeleteFunc(slices.Clone(h.rows), func(w *wrong) bool { return w.drop })}
	if len(fresh.rows) == len(h.rows) {
		return f
	}
	if x := s.fitWithout(fresh); x.score() > f.score() {
		return x
	}
	return f
}

// fitWithout fits a hypothesis, leaving out a few rows that are far out if that
// makes it likelier; the prior of these is the fit's.
func (s *study) fitWithout(h hypothesis) *fitted {
	prior := 0.0
	for _, w := range h.rows {
		if w.drop {
			prior += math.Log(w.prior)
		}
	}
	best := s.afresh(h)
	best.prior = prior
	for range misreadMost {
		i, far := s.furthest(best)
		if far < misreadFar {
			break
		}
		w := s.dropped(i)
		prior += math.Log(w.prior)
		h.rows = append(slices.DeleteFunc(slices.Clone(h.rows), func(o *wrong) bool { return o.obs == i }), w)
		f := s.afresh(h)
		if f.prior = prior; f.score() <= best.score() {
			break
		}
		best = f
	}
	if s.lost != nil && best.ok && !best.hopeless {
		s.polished(best)
	}
	return best
}

// furthest is the observation that lies furthest off what all others make of
// it, and by how many sigmas.
func (s *study) furthest(f *fitted) (at int, far float64) {
	var inv mat.SymDense
	if !f.ok || !solved(f.fit.chol.InverseTo(&inv)) {
		return 0, 0
	}
	for i := range s.obs {
		if z := math.Abs(f.fit.alpha.AtVec(i)) / math.Sqrt(inv.At(i, i)); z > far {
			at, far = i, z
		}
	}
	return at, far
}

// offInstruments is that one instrument reads too much or too little all along.
func (g *search) offInstruments(page *pageState) []misread {
	by := map[int][]int{}
	for i := range g.s.obs {
		x := g.s.obs[i].gainIx
		by[x] = append(by[x], i)
	}
	var out []misread
	for i := range g.s.obs {
		o := &g.s.obs[i]
		list := by[o.gainIx]
		if list[0] != i || middleOf(g.s.obs, page.h, list) == 0 {
			continue
		}
		name, ix := "instrument "+o.by.id, o.gainIx
		if what, ok := plurals[o.by.id]; ok {
			name = "what read the " + what
		}
		out = append(out, misread{h: hypothesis{rows: g.sound.rows}, gauge: ix, prior: gaugePrior / float64(len(by)), doubt: func(f *fitted) string {
			off, much := math.Exp(gaugeOff*f.at.theta[ix])-1, "much"
			if off < 0 {
				much = "little"
			}
			return fmt.Sprintf("If %s showed %.0f %% too %s all along, the readings would fit with no fault: hold it against another, and look at its zero.", name, 100*math.Abs(off), much)
		}})
	}
	return out
}

// plurals also hold the ids of instruments that the survey does not name.
var plurals = map[string]string{"pressure": "pressures", "velocity": "velocities", "flow": "flows"}

// column is what one misreading would have spoilt.
type column struct {
	dim  units.Dimension
	unit string
	sign units.Quantity // of which the sign may be wrong
}

// otherUnits is that all values of a dimension are in another unit than
// written, or all of a quantity of the other sign.
func (g *search) otherUnits(page *pageState) []misread {
	order, rows := g.s.b.columns()
	var out []misread
	for _, c := range order {
		if len(rows[c]) < misreadLeast {
			continue
		}
		middle := middleOf(g.s.obs, page.h, rows[c])
		if middle == 0 || math.Abs(middle-1) < misreadNear {
			continue
		}
		for _, a := range c.slips(middle) {
			if math.Abs(a.factor*middle-1) < misreadNear {
				out = append(out, g.slipped(rows[c], a))
			}
		}
	}
	return out
}

// slip is a factor by which values may be wrong, and what to say of it.
type slip struct {
	factor float64
	prior  float64
	say    string
	loose  bool   // the factor is only known roughly
	do     string // what to do about it, where nothing else can be wrong
}

// slips are the ways in which a column may be wrong whose readings are so many
// times what the page says.
func (c column) slips(middle float64) []slip {
	if c.unit == "" {
		return []slip{{-1, unitsPrior, fmt.Sprintf("If every %s had the other sign, the readings would fit with no fault: suction is a negative static_pressure, or a positive suction.", c.sign), false, "write suction as a negative static_pressure, or as a positive suction"}}
	}
	what := plurals[c.dim.String()]
	var out []slip
	for _, u := range unitSlips[c.dim] {
		factor := unitFactor(u, c.unit, c.dim)
		if factor == 0 || math.Abs(factor-1) < misreadNear {
			continue
		}
		out = append(out,
			slip{factor, 0, fmt.Sprintf("If all %s written in %s were in %s, the readings would fit with no fault: check the unit.", what, c.unit, u), false, fmt.Sprintf("check the unit; in %s they would be about right", u)},
			slip{1 / factor, 0, fmt.Sprintf("If all %s written in %s had been converted from %s once too often, the readings would fit with no fault: check the unit.", what, c.unit, u), false, fmt.Sprintf("check the unit; they look as if converted from %s once too often", u)})
	}
	for i := range out {
		out[i].prior = unitsPrior / float64(len(out))
	}
	if middle > 0 {
		out = append(out, slip{1 / middle, anyFactor * unitsPrior, fmt.Sprintf("All %s written in %s are about %.3g times what a sound system shows, and the rest is not: check their unit and the instrument.", what, c.unit, middle), true, ""})
	}
	return out
}

// unitFactor is how many times the second unit the first is; 0 if they don't compare.
func unitFactor(a, b string, d units.Dimension) float64 {
	x, err := units.Parse("1 "+a, d, units.Metric)
	if err != nil {
		return 0
	}
	y, err := units.Parse("1 "+b, d, units.Metric)
	if err != nil {
		return 0
	}
	return x.SI / y.SI
}

// columns are the columns of a survey, in order, and the observations in each.
func (b *bound) columns() (order []column, rows map[column][]int) {
	rows = map[column][]int{}
	add := func(c column, i int) {
		if rows[c] == nil {
			order = append(order, c)
		}
		rows[c] = append(rows[c], i)
	}
	for i := range b.obs {
		r := &b.survey.Rows[b.obs[i].rows[0]]
		add(column{dim: r.Quantity.Dimension(), unit: r.Unit}, i)
		if r.Quantity == units.StaticPressure || r.Quantity == units.Suction {
			add(column{dim: units.Pressure, sign: r.Quantity}, i)
		}
	}
	return order, rows
}

// middleOf is the median of what was read over what the page says; 0: not known.
func middleOf(all []obs, h []float64, list []int) float64 {
	var ratio []float64
	for _, i := range list {
		if h[i] != 0 {
			ratio = append(ratio, all[i].y/h[i])
		}
	}
	if len(ratio) < misreadLeast {
		return 0
	}
	slices.Sort(ratio)
	return ratio[len(ratio)/2]
}

// slipped takes readings to be wrong by a factor.
func (g *search) slipped(list []int, a slip) misread {
	x := misread{gauge: -1, prior: a.prior, doubt: func(*fitted) string { return a.say }}
	for _, w := range g.sound.rows {
		if !slices.Contains(list, w.obs) {
			x.h.rows = append(x.h.rows, w)
		}
	}
	if a.loose {
		x.gauge = g.s.obs[list[0]].gainIx
	}
	for _, i := range list {
		o := &g.s.obs[i]
		w := &wrong{obs: i, y: o.y * a.factor, cfg: -1, log: math.Log(math.Abs(a.factor))}
		v := o.valued(w.y, g.s.b.survey.Readings[o.reading].Quantity, g.s.m.Air.Density)
		w.gain, w.fresh = v.gain, v.fresh
		x.h.rows = append(x.h.rows, w)
	}
	return x
}

// stoodStill is that no air moved: each reading is what its instrument shows of
// nought, or a wrong row.
func (g *search) stoodStill() misgiven {
	score := math.Log(stillPrior)
	for i := range g.s.obs {
		o := g.s.obs[i].valued(0, g.s.b.survey.Readings[g.s.obs[i].reading].Quantity, g.s.m.Air.Density)
		z := g.s.obs[i].y / o.sd
		w := g.s.dropped(i)
		score += logSum([]float64{-z*z/2 - math.Log(o.sd) - math.Log(2*math.Pi)/2, math.Log(w.prior) + w.log})
	}
	return misgiven{score: score, doubt: "The readings are about what these instruments show when no air moves: check that the fan ran, and that they were connected."}
}
