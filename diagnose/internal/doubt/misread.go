package doubt

import (
	"fmt"
	"math"
	"slices"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/search"
	"lostair/readings/units"
)

// How likely it is that a whole column was misread. Common practice, no source.
const (
	UnitsPrior   = 0.01  // that all values of one dimension are in another unit, or of one quantity of the other sign
	GaugePrior   = 0.01  // that an instrument reads far off all along
	GaugeOff     = 0.25  // by how much it then does, as a logarithm, one sigma
	StillPrior   = 0.003 // that the fan did not run
	EmptyPrior   = 0.9   // that nothing was read, if every value is zero where the page expects much
	AnyFactor    = 0.1   // how likely, beside UnitsPrior, a factor is that no unit explains
	misreadLeast = 3     // readings that make a column
	misreadNear  = 0.6   // how far off their page the readings may lie in the right unit, as a share
	misreadFar   = 3.5   // sigmas by which a row is out that may be left out of such a fit,
	misreadMost  = 3     // and how many may be

	FarFromZero = 10.0 // sigmas of an instrument at zero that it can't miss
)

// misread is that all of a column was read or written otherwise than it says.
type misread struct {
	H     fit.Hypothesis
	gauge int // parameter of an instrument that is off, -1: none
	prior float64
	doubt func(f *fit.Fit) string
}

// misreadings is that a whole column is wrong in one way, and the system sound:
// the unit or the sign, an instrument, or that the fan stood still. Row by row
// each would be one more wrong row, and many of those are less likely than a
// weak fan. It is looked at where the sound system fits badly.
func misreadings(g *search.Search, page *pageState) []DataError {
	out := []DataError{StoodStill(g)}
	if nothingRead(g, page) {
		x := &out[0]
		x.Score += math.Log(EmptyPrior / StillPrior)
		x.Doubt = fault.Doubt{Kind: fault.AllZero}
	}
	return out
}

// nothingRead is whether every value is zero to the last digit, which no
// instrument shows of air that moves, although the page expects more than it
// could have missed.
func nothingRead(g *search.Search, page *pageState) bool {
	if !allNought(g) {
		return false
	}
	for i := range g.S.Observation {
		if math.Abs(page.H[i]) > FarFromZero*g.S.Observation[i].Sd {
			return true
		}
	}
	return false
}

func allNought(g *search.Search) bool { return observe.IsAllZero(g.S.B.Survey) }

// plurals also hold the ids of instruments that the survey does not name.
var plurals = map[string]string{"pressure": "pressures", "velocity": "velocities", "flow": "flows"}

// column is what one misreading would have spoilt.
type column struct {
	dim  units.Dimension
	unit string
	sign units.Quantity // of which the sign may be wrong
}

// Slip is a factor by which values may be wrong, and what to say of it.
type Slip struct {
	Factor float64
	Prior  float64
	say    string
	loose  bool   // the factor is only known roughly
	do     string // what to do about it, where nothing else can be wrong
	really string // the unit the values are in, or from which they were converted once too often
	twice  bool   // the latter
}

// slips are the ways in which a column may be wrong whose readings are so many
// times what the page says.
func (c column) slips(middle float64) []Slip {
	if c.unit == "" {
		return []Slip{{-1, UnitsPrior, fmt.Sprintf("If every %s had the other sign, the readings would fit with no fault: suction is a negative static_pressure, or a positive suction.", c.sign), false, "write suction as a negative static_pressure, or as a positive suction", "", false}}
	}
	what := plurals[c.dim.String()]
	var out []Slip
	for _, u := range search.UnitSlips[c.dim] {
		factor := units.Ratio(u, c.unit, c.dim)
		if factor == 0 || math.Abs(factor-1) < misreadNear {
			continue
		}
		out = append(out,
			Slip{factor, 0, fmt.Sprintf("If all %s written in %s were in %s, the readings would fit with no fault: check the unit.", what, c.unit, u), false, fmt.Sprintf("check the unit; in %s they would be about right", u), u, false},
			Slip{1 / factor, 0, fmt.Sprintf("If all %s written in %s had been converted from %s once too often, the readings would fit with no fault: check the unit.", what, c.unit, u), false, fmt.Sprintf("check the unit; they look as if converted from %s once too often", u), u, true})
	}
	for i := range out {
		out[i].Prior = UnitsPrior / float64(len(out))
	}
	if middle > 0 {
		out = append(out, Slip{1 / middle, AnyFactor * UnitsPrior, fmt.Sprintf("All %s written in %s are about %.3g times what a sound system shows, and the rest is not: check their unit and the instrument.", what, c.unit, middle), true, "", "", false})
	}
	return out
}

// columns are the columns of a survey, in order, and the observations in each.
func columns(b *observe.Bound) (order []column, rows map[column][]int) {
	rows = map[column][]int{}
	add := func(c column, i int) {
		if rows[c] == nil {
			order = append(order, c)
		}
		rows[c] = append(rows[c], i)
	}
	for i := range b.Observation {
		r := &b.Survey.Rows[b.Observation[i].Rows[0]]
		add(column{dim: r.Quantity.Dimension(), unit: r.Unit}, i)
		if r.Quantity == units.StaticPressure || r.Quantity == units.Suction {
			add(column{dim: units.Pressure, sign: r.Quantity}, i)
		}
	}
	return order, rows
}

// middleOf is the median of what was read over what the page says; 0: not known.
func middleOf(all []observe.Observation, h []float64, list []int) float64 {
	var ratio []float64
	for _, i := range list {
		if h[i] != 0 {
			ratio = append(ratio, all[i].Y/h[i])
		}
	}
	if len(ratio) < misreadLeast {
		return 0
	}
	slices.Sort(ratio)
	return ratio[len(ratio)/2]
}

// StoodStill is that no air moved: each reading is what its instrument shows of
// zero, or a wrong row.
func StoodStill(g *search.Search) DataError {
	score := math.Log(StillPrior)
	for i := range g.S.Observation {
		o := g.S.Observation[i].Valued(0, g.S.B.Survey.Readings[g.S.Observation[i].Reading].Quantity, g.S.M.Air.Density)
		z := g.S.Observation[i].Y / o.Sd
		w := search.Dropped(g.S, i)
		score += numeric.LogSumExp([]float64{-z*z/2 - math.Log(o.Sd) - math.Log(2*math.Pi)/2, math.Log(w.Prior) + w.Log})
	}
	return DataError{Score: score, Doubt: fault.Doubt{Kind: fault.NoAirReading}}
}
