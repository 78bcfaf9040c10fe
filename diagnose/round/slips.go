package round

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"lostair/diagnose"
	"lostair/diagnose/next"
	"lostair/readings"
	"lostair/readings/units"
)

// Slip is a sort of mistake in taking or writing a reading.
type Slip uint8

// The slips.
const (
	NoSlip     Slip = iota
	SignSlip        // minus left out, or written where there is none
	UnitSlip        // typed in another unit than said
	FactorSlip      // a decimal point
	DigitsSlip      // two neighbouring digits swapped
	OtherGate       // other gates open than asked for
	AlsoOpen        // a further gate open
	ShutGate        // the gate itself shut
	OtherTap        // read at another tap or port
	Unlikely        // nothing explains it, a slip that is not known neither
	OddValue        // refused by a rule that holds for all systems
)

// Doubt is why a value may not be right.
type Doubt struct {
	Slip   Slip
	Chance float64
	Row    *readings.Row // as it would be written without the slip; nil: it is to be read again
	What   string        // the unit, gates or tap that it fits; of OddValue the reason
}

// Own choices: how often people slip in each way, and from which chance on they are
// asked. A unit that was typed is seldom the wrong one.
const (
	slipRate    = 0.01
	gateRate    = 0.03
	leastDoubt  = 0.2
	minusToo    = 0.3  // of those who slip in unit or point, how many leave the minus out too
	typedUnit   = 0.2  // factor on the rate of a unit slip where a unit was typed
	strangeRate = 1e-3 // of a value that nothing explains
)

// Judge holds a row against what it should show, right and with the usual slips.
// The likeliest slip comes back if it is likely enough to ask.
func (r *Round) Judge(q *Question, row *readings.Row, explicit bool) (Doubt, bool, error) {
	if row.Look != "" {
		return r.judgeLook(row)
	}
	one := &readings.Survey{Rows: []readings.Row{*row}, Readings: []readings.Reading{{Open: row.Open, Point: row.Point, Quantity: row.Quantity,
		Value: row.Value, Count: 1, Instrument: row.Instrument, HoseOff: row.HoseOff, Rows: []int{0}}}}
	if err := diagnose.Fits(r.System, one).Err(); err != nil {
		return Doubt{}, false, err
	}
	j, err := r.judging(q, row)
	if err != nil {
		return Doubt{}, false, err
	}
	j.explicit = explicit
	if q.HasSound && q.Sound.Low <= row.Value && row.Value <= q.Sound.High { // as was said before it was read
		return Doubt{}, false, nil
	}
	if d, ok := j.likeliest(); ok {
		return d, true, nil
	}
	if odd := diagnose.Odd(r.System, one); len(odd) > 0 {
		return Doubt{Slip: OddValue, Chance: 1, What: odd[0].What + "; " + odd[0].Do}, true, nil
	}
	return Doubt{}, false, nil
}

// judgeLook holds what was measured across against the page; yes and no are taken.
func (r *Round) judgeLook(row *readings.Row) (Doubt, bool, error) {
	if !row.Look.Number() {
		return Doubt{}, false, nil
	}
	one := &readings.Survey{Looks: []readings.Row{*row}}
	if err := diagnose.Fits(r.System, one).Err(); err != nil {
		return Doubt{}, false, err
	}
	if odd := diagnose.Odd(r.System, one); len(odd) > 0 {
		return Doubt{Slip: OddValue, Chance: 1, What: odd[0].What + "; " + odd[0].Do}, true, nil
	}
	return Doubt{}, false, nil
}

// judging is a value with what was foretold of it and of its like.
type judging struct {
	r        *Round
	q        *Question
	row      *readings.Row
	here     mixture
	others   []elsewhere
	explicit bool
	most     float64 // largest value, by size, that can be
}

// elsewhere is what another setting or place shows.
type elsewhere struct {
	slip Slip
	what string
	mix  mixture
}

// mixture is a sum of normals.
type mixture []next.Foretold

func (m mixture) density(y float64) float64 {
	var sum float64
	for _, x := range m {
		z := (y - x.Mean) / x.Sd
		sum += x.Weight * math.Exp(-0.5*z*z) / x.Sd / math.Sqrt(2*math.Pi)
	}
	return sum
}

// near is whether a value lies where one of the likely explanations has it: then it
// needs no slip, though many another place may show the same.
func (m mixture) near(y float64) bool {
	return slices.ContainsFunc(m, func(x next.Foretold) bool {
		return x.Weight >= nearWeight && math.Abs(y-x.Mean) < nearSd*x.Sd
	})
}

// Own choices: how likely an explanation is to be, and how far a value may lie from
// what it says, for the value to need no slip.
const (
	nearWeight = 0.05
	nearSd     = 2.0
)

func (m mixture) mean() float64 {
	var sum float64
	for _, x := range m {
		sum += x.Weight * x.Mean
	}
	return sum
}

// judging asks what the reading should show here, with other gates, and at other
// places.
func (r *Round) judging(q *Question, row *readings.Row) (*judging, error) {
	rows := []readings.Row{q.Row}
	others := r.mistaken(&q.Row)
	for _, o := range others {
		rows = append(rows, o.row)
	}
	told, err := r.foretell(rows)
	if err != nil {
		return nil, err
	}
	j := &judging{r: r, q: q, row: row, here: told[0]}
	for i, o := range others {
		j.others = append(j.others, elsewhere{o.slip, o.what, told[i+1]})
	}
	j.most = 1.3 * math.Abs(j.here.mean())
	switch {
	case row.Quantity == units.PressureDrop:
		j.most = mostLoaded * math.Abs(j.here.mean())
	case row.Quantity.Dimension() == units.Pressure:
		for _, p := range r.System.Collector.Curve {
			j.most = math.Max(j.most, p.Pressure)
		}
	}
	return j, nil
}

// foretell is what the diagnosis says or, where nothing was read, a sound system.
func (r *Round) foretell(rows []readings.Row) ([]mixture, error) {
	out := make([]mixture, len(rows))
	if r.Standing != nil {
		told, err := r.Standing.Foretell(rows)
		for i := range told {
			out[i] = told[i]
		}
		return out, err
	}
	told, err := next.Unread(r.System, rows)
	for i, x := range told {
		out[i] = mixture{x}
	}
	return out, err
}

// mostLoaded is the most, as a multiple, that a filter drops which still lets air
// through. Own choice.
const mostLoaded = 8

type mistakenRow struct {
	slip Slip
	what string
	row  readings.Row
}

// mostMistaken is how many other settings and places are looked at.
const mostMistaken = 40

// mistaken are the readings that may have been taken in place of the one asked for.
func (r *Round) mistaken(asked *readings.Row) []mistakenRow {
	var out []mistakenRow
	add := func(s Slip, what string, row readings.Row) {
		if len(out) < mostMistaken {
			out = append(out, mistakenRow{s, what, row})
		}
	}
	with := func(o readings.Open) readings.Row { x := *asked; x.Open = o; return x }
	gates := r.System.Gates()
	for _, g := range gates {
		if asked.Open.Opens(g) && !asked.Open.All {
			add(ShutGate, g, with(without(asked.Open, g)))
		}
	}
	if !asked.Open.All {
		for _, g := range gates {
			if !asked.Open.Opens(g) {
				add(AlsoOpen, g, with(besides(asked.Open, g)))
				if len(asked.Open.Gates) == 1 {
					add(OtherGate, g, with(readings.Open{Gates: []string{g}}))
				}
			}
		}
	} else {
		for _, g := range gates {
			add(ShutGate, g, with(without(readings.Open{Gates: slices.Sorted(slices.Values(gates))}, g)))
		}
	}
	for _, p := range r.placesLike(asked) {
		x := *asked
		x.Point = p
		add(OtherTap, p, x)
	}
	return out
}

// placesLike are the other taps or ports at which the same can be read.
func (r *Round) placesLike(asked *readings.Row) []string {
	var out []string
	if _, ok := r.System.PortNamed(asked.Point); ok {
		for i := range r.System.Ports {
			out = append(out, r.System.Ports[i].ID)
		}
	} else if _, _, ok := r.System.TapAt(asked.Point); ok {
		for i := range r.System.Ducts {
			for _, t := range r.System.Ducts[i].Taps {
				out = append(out, t.ID)
			}
		}
	}
	return slices.DeleteFunc(out, func(p string) bool { return p == asked.Point })
}

func without(o readings.Open, gate string) readings.Open {
	return readings.Open{Gates: slices.DeleteFunc(slices.Clone(o.Gates), func(g string) bool { return g == gate })}
}

func besides(o readings.Open, gate string) readings.Open {
	return readings.Open{Gates: slices.Sorted(slices.Values(append(slices.Clone(o.Gates), gate)))}
}

// Own choices: how likely it is that what nobody knows yet moves a reading anywhere
// between nothing and all that can be, and how likely where the reading is the
// complaint's own: somebody says that something is wrong there.
const (
	faultShare     = 0.2
	complainedOver = 0.6
)

// right is the density of a value that was read and written as asked.
func (j *judging) right(y float64) float64 {
	share := faultShare
	if j.q.For == AirOfPort || j.q.For == SuctionAtPort {
		share = complainedOver
	}
	d := (1 - share) * j.here.density(y)
	if y*j.here.mean() >= 0 && math.Abs(y) <= j.most {
		d += share / j.most
	}
	return d
}

// likeliest is the likeliest slip, if it is likely enough.
func (j *judging) likeliest() (Doubt, bool) {
	y := j.row.Value
	if j.here.near(y) {
		return Doubt{}, false
	}
	best, most := Doubt{}, 0.0
	var sum float64
	weigh := func(d Doubt, density float64) {
		sum += density
		if density > most {
			best, most = d, density
		}
	}
	weigh(Doubt{Slip: Unlikely}, strangeRate/math.Max(math.Abs(y), j.most))
	j.written(weigh)
	for _, o := range j.others {
		weigh(Doubt{Slip: o.slip, What: o.what}, j.rateOf(o.slip)*o.mix.density(y))
	}
	if v := -y; j.q.HasSound && j.q.Sound.Low <= v && v <= j.q.Sound.High && signed(j.row) { // no rarer slip explains more
		best = j.otherSign()
	}
	best.Chance = sum / math.Max(sum+j.right(y), 1e-300)
	return best, best.Chance > leastDoubt
}

// rateOf is how often people read with other gates, or at another place: a gate that
// was not opened is the usual slip, and the others share one rate.
func (j *judging) rateOf(s Slip) float64 {
	n := 0
	for _, o := range j.others {
		if (o.slip == OtherTap) == (s == OtherTap) && o.slip != ShutGate {
			n++
		}
	}
	switch s {
	case ShutGate:
		return gateRate
	case OtherTap:
		return slipRate / float64(n)
	}
	return gateRate / float64(n)
}

// written weighs the slips of writing.
func (j *judging) written(weigh func(Doubt, float64)) {
	y := j.row.Value
	try := func(s Slip, what string, rate, v float64, text, unit string) {
		row := *j.row
		row.Value, row.Typed, row.Unit = v, text, unit
		weigh(Doubt{Slip: s, What: what, Row: &row}, rate*math.Abs(v/y)*j.here.density(v))
	}
	if y == 0 {
		return
	}
	text, unit := j.row.Typed, j.row.Unit
	signed := signed(j.row)
	if signed {
		weigh(j.otherSign(), 3*slipRate*j.here.density(-y))
	}
	for _, f := range []float64{10, 0.1, 100, 0.01} {
		try(FactorSlip, "", slipRate, y*f, shifted(text, f), unit)
		if signed {
			try(FactorSlip, "", slipRate*minusToo, -y*f, negated(shifted(text, f)), unit)
		}
	}
	rate := slipRate
	if j.explicit {
		rate *= typedUnit
	}
	dim := j.row.Quantity.Dimension()
	for _, u := range HandUnits(dim) {
		v, err := units.ParseIn(text, dim, u)
		if err == nil && u != unit {
			try(UnitSlip, u, rate, v.SI, text, u)
			if signed {
				try(UnitSlip, u, rate*minusToo, -v.SI, negated(text), u)
			}
		}
	}
	for _, t := range swaps(text) {
		if v, err := units.ParseIn(t, dim, unit); err == nil {
			try(DigitsSlip, t, slipRate/2, v.SI, t, unit)
		}
	}
}

// signed is whether a minus matters.
func signed(r *readings.Row) bool {
	return r.Quantity == units.StaticPressure || r.Quantity == units.Suction
}

// otherSign is the slip in the sign.
func (j *judging) otherSign() Doubt {
	row := *j.row
	row.Value, row.Typed = -row.Value, negated(row.Typed)
	return Doubt{Slip: SignSlip, Row: &row}
}

// HandUnits are the units that gauges in a shop show.
func HandUnits(d units.Dimension) []string {
	switch d {
	case units.Pressure:
		return []string{"Pa", "kPa", "mbar", "inH2O", "mmH2O"}
	case units.Velocity:
		return []string{"m/s", "fpm", "km/h"}
	case units.Flow:
		return []string{"m3/h", "cfm", "L/s"}
	case units.Diameter:
		return []string{"mm", "cm", "in"}
	}
	return nil
}

func negated(text string) string {
	if text == "" {
		return ""
	}
	if t, ok := strings.CutPrefix(text, "-"); ok {
		return t
	}
	return "-" + strings.TrimPrefix(text, "+")
}

// shifted writes a number with its point moved.
func shifted(text string, factor float64) string {
	v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if err != nil {
		return text
	}
	return strconv.FormatFloat(v*factor, 'g', 10, 64)
}

// swaps are the numbers that two neighbouring digits swapped may come from.
func swaps(text string) []string {
	var out []string
	for i := 0; i+1 < len(text); i++ {
		a, b := text[i], text[i+1]
		if a >= '0' && a <= '9' && b >= '0' && b <= '9' && a != b {
			out = append(out, text[:i]+string(b)+string(a)+text[i+2:])
		}
	}
	return out
}
