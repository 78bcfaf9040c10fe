package diagnose

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"lostair/readings/units"
)

// How likely a row is to be wrong, and in which way. Common practice, no source.
const (
	rowWrong   = 0.008 // at most, of a row
	rowsWrong  = 0.2   // expected in a survey
	shareUnit  = 0.30
	shareSign  = 0.12
	shareDig   = 0.18
	shareGate  = 0.18
	sharePoint = 0.07
	shareTotal = 0.05
	shareDrop  = 0.10
)

// unitSlips are the units that people take for one another.
var unitSlips = map[units.Dimension][]string{
	units.Pressure: {"Pa", "inH2O", "mmH2O", "kPa", "mbar"},
	units.Velocity: {"m/s", "fpm", "km/h"},
	units.Flow:     {"m3/h", "cfm", "L/s", "m3/s"},
}

// dropped is an observation that is wrong in a way not on the list: it may be
// anything up to the fan's pressure, say.
func (s *study) dropped(i int) *wrong {
	o := &s.obs[i]
	return &wrong{obs: i, drop: true, cfg: -1, prior: rowWrong * shareDrop,
		log: -math.Log(4*math.Abs(o.y) + 20*o.sd), reason: "it fits nothing else that was read"}
}

// wrongRows lists the ways in which each single-row observation may be wrong.
func (s *study) wrongRows() []*wrong {
	var out []*wrong
	p := min(rowWrong, rowsWrong/float64(max(len(s.obs), 1)))
	for i := range s.obs {
		o := &s.obs[i]
		if len(o.rows) != 1 {
			continue
		}
		out = append(out, s.slips(i)...)
		out = append(out, s.signs(i)...)
		out = append(out, s.digits(i)...)
		out = append(out, s.gatesElsewhere(i)...)
		out = append(out, s.pointsElsewhere(i)...)
		out = append(out, s.totals(i)...)
		out = append(out, s.dropped(i))
	}
	for _, w := range out {
		w.prior *= p / rowWrong
		if o := &s.obs[w.obs]; w.slip() {
			x := o.valued(w.y, s.b.survey.Readings[o.reading].Quantity, s.m.Air.Density)
			w.gain, w.fresh = x.gain, x.fresh
		}
	}
	return out
}

// slip tells whether it is the written value that is wrong, in a known way.
func (w *wrong) slip() bool { return !w.drop && w.cfg < 0 }

// slips: the number stands for another unit than the one given, or the point slipped.
func (s *study) slips(i int) []*wrong {
	o := &s.obs[i]
	row := &s.b.survey.Rows[o.rows[0]]
	dim := row.Quantity.Dimension()
	typed, err := units.Convert(o.y, dim, row.Unit)
	if err != nil || o.y == 0 {
		return nil
	}
	type alt struct {
		factor float64
		why    string
	}
	var alts []alt
	for _, u := range unitSlips[dim] {
		v, err := units.Parse("1 "+u, dim, units.Metric)
		if err != nil || u == row.Unit {
			continue
		}
		alts = append(alts, alt{v.SI * typed / o.y, fmt.Sprintf("the number is in %s, not in %s", u, row.Unit)})
		// converted twice, or converted by hand and left with the old unit
		here, err := units.Parse("1 "+row.Unit, dim, units.Metric)
		if err == nil {
			alts = append(alts, alt{here.SI / v.SI, fmt.Sprintf("the value was converted from %s to %s once too often", u, row.Unit)})
		}
	}
	for k := range alts {
		for _, f := range [...]float64{10, 0.1} {
			if math.Abs(alts[k].factor/f-1) < 0.05 { // as mmH2O and Pa
				alts[k].why += ", or the decimal point slipped one place"
			}
		}
	}
	alts = append(alts, alt{10, "the decimal point slipped one place"}, alt{0.1, "the decimal point slipped one place"})
	var out []*wrong
	for k, a := range alts {
		dup := false
		for _, b := range alts[:k] {
			dup = dup || math.Abs(a.factor/b.factor-1) < 0.005
		}
		if dup || math.Abs(a.factor-1) < 0.05 {
			continue
		}
		out = append(out, &wrong{obs: i, y: o.y * a.factor, cfg: -1, log: math.Log(a.factor), reason: a.why, coarse: true})
	}
	for _, w := range out {
		w.prior = rowWrong * shareUnit / float64(len(out))
	}
	return out
}

func (s *study) signs(i int) []*wrong {
	o := &s.obs[i]
	if o.y == 0 {
		return nil
	}
	switch s.b.survey.Rows[o.rows[0]].Quantity {
	case units.StaticPressure, units.Suction, units.PressureDrop:
		return []*wrong{{obs: i, y: -o.y, cfg: -1, prior: rowWrong * shareSign, coarse: true, reason: "the sign is the wrong way round"}}
	}
	return nil
}

// digits: two neighbouring digits changed places.
func (s *study) digits(i int) []*wrong {
	o := &s.obs[i]
	t := s.b.survey.Rows[o.rows[0]].Typed
	at := []int{}
	for k, c := range t {
		if c >= '0' && c <= '9' {
			at = append(at, k)
		}
	}
	old, err := strconv.ParseFloat(strings.Replace(t, ",", ".", 1), 64)
	if err != nil || old == 0 {
		return nil
	}
	var out []*wrong
	for k := 1; k < len(at); k++ {
		b := []byte(t)
		if b[at[k-1]] == b[at[k]] {
			continue
		}
		b[at[k-1]], b[at[k]] = b[at[k]], b[at[k-1]]
		v, err := strconv.ParseFloat(strings.Replace(string(b), ",", ".", 1), 64)
		if err != nil {
			continue
		}
		out = append(out, &wrong{obs: i, y: o.y * v / old, cfg: -1, reason: "two digits are swapped"})
	}
	for _, w := range out {
		w.prior = rowWrong * shareDig / float64(len(out))
	}
	return out
}

// gatesElsewhere: the row was read with another gate open than written.
func (s *study) gatesElsewhere(i int) []*wrong {
	o := &s.obs[i]
	here := s.b.configs[o.cfg]
	var out []*wrong
	for c, other := range s.b.configs {
		if c == o.cfg || len(other.hoseOff) > 0 || len(here.hoseOff) > 0 {
			continue
		}
		out = append(out, &wrong{obs: i, cfg: c, y: math.NaN(), reason: fmt.Sprintf("it was read with other gates open: %s fits", other.open)})
	}
	for _, w := range out {
		w.prior = rowWrong * shareGate / float64(len(out))
	}
	return out
}

// pointsElsewhere: the row was read at a neighbour's tap or port.
func (s *study) pointsElsewhere(i int) []*wrong {
	o := &s.obs[i]
	sys := s.m.Sys
	row := &s.b.survey.Rows[o.rows[0]]
	var others []string
	if d, _, ok := sys.TapAt(row.Point); ok {
		for k := range sys.Ducts {
			if adjoin(sys, d, k) {
				for _, t := range sys.Ducts[k].Taps {
					others = append(others, t.ID)
				}
			}
		}
	} else if _, ok := sys.PortNamed(row.Point); ok {
		for k, on := range reach(s.m, s.b.configs[o.cfg].Config) {
			if on {
				others = append(others, sys.Ports[k].ID)
			}
		}
	}
	var out []*wrong
	for _, id := range others {
		if id == row.Point || len(out) == neighboursMost {
			continue
		}
		p, err := s.m.ProbeAt(id, row.Quantity)
		if err != nil {
			continue
		}
		if o.probe.OnAxis() == o.probe {
			p = p.OnAxis()
		}
		out = append(out, &wrong{obs: i, cfg: o.cfg, probe: &p, y: math.NaN(), reason: fmt.Sprintf("it was read at %s", id)})
	}
	for _, w := range out {
		w.prior = rowWrong * sharePoint / float64(len(out))
	}
	return out
}

// neighboursMost is how many neighbours of a point are thought of.
const neighboursMost = 6

// totals: a total pressure was read where a static one is written.
func (s *study) totals(i int) []*wrong {
	o := &s.obs[i]
	row := &s.b.survey.Rows[o.rows[0]]
	if _, _, tap := s.m.Sys.TapAt(row.Point); !tap || row.Quantity != units.StaticPressure && row.Quantity != units.Suction {
		return nil
	}
	return []*wrong{{obs: i, cfg: o.cfg, total: true, y: math.NaN(), prior: rowWrong * shareTotal, reason: "it is the total pressure, not the static one"}}
}
