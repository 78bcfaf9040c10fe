package search

import (
	"math"
	"strconv"
	"strings"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/route"
	"lostair/readings/units"
)

// How likely a row is to be wrong, and in which way. Common practice, no source.
const (
	RowWrong   = 0.008 // at most, of a row
	RowsWrong  = 0.2   // expected in a survey
	ShareUnit  = 0.30
	ShareSign  = 0.12
	ShareDig   = 0.18
	ShareGate  = 0.18
	SharePoint = 0.07
	ShareTotal = 0.05
	ShareDrop  = 0.10

	DroppedOfValue = 4  // a row that may be anything: flat over so many times its size
	DroppedOfSd    = 20 // and so many of its standard deviations
)

// UnitSlips are the units that people take for one another.
var UnitSlips = map[units.Dimension][]string{
	units.Pressure: {"Pa", "inH2O", "mmH2O", "kPa", "mbar"},
	units.Velocity: {"m/s", "fpm", "km/h"},
	units.Flow:     {"m3/h", "cfm", "L/s", "m3/s"},
}

// StrangePrior is how likely it is that the readings are not of this system, or not
// to be believed. Of a single reading that is the same as that it is wrong. Common
// practice, no source.
const StrangePrior = 0.01

// Dropped is an observation that is wrong in a way not on the list: it may be
// anything up to the fan's pressure, say.
func Dropped(s *fit.Study, i int) *fit.Wrong {
	o := &s.Observation[i]
	prior, slip := RowWrong*ShareDrop, fault.Slip{Kind: fault.SlipUnknown}
	if len(s.Observation) == 1 {
		prior, slip.Kind = prior+StrangePrior, fault.SlipUnexplained
	}
	return &fit.Wrong{Observation: i, Drop: true, Cfg: -1, Prior: prior,
		Log: -math.Log(DroppedOfValue*math.Abs(o.Y) + DroppedOfSd*o.Sd), Reason: slip}
}

// WrongRows lists the ways in which each single-row observation may be wrong.
func WrongRows(s *fit.Study) []*fit.Wrong {
	var out []*fit.Wrong
	p := min(RowWrong, RowsWrong/float64(max(len(s.Observation), 1)))
	for i := range s.Observation {
		o := &s.Observation[i]
		if len(o.Rows) != 1 {
			continue
		}
		out = append(out, Slips(s, i)...)
		out = append(out, Signs(s, i)...)
		out = append(out, digits(s, i)...)
		out = append(out, gatesElsewhere(s, i)...)
		out = append(out, pointsElsewhere(s, i)...)
		out = append(out, totals(s, i)...)
		out = append(out, Dropped(s, i))
	}
	for _, w := range out {
		w.Prior *= p / RowWrong
		if o := &s.Observation[w.Observation]; w.Slip() {
			x := o.Valued(w.Y, s.B.Survey.Readings[o.Reading].Quantity, s.M.Air.Density)
			w.Gain, w.Fresh = x.Gain, x.Fresh
		}
	}
	return out
}

// slips: the number stands for another unit than the one given, or the point slipped.
func Slips(s *fit.Study, i int) []*fit.Wrong {
	o := &s.Observation[i]
	row := &s.B.Survey.Rows[o.Rows[0]]
	dim := row.Quantity.Dimension()
	typed, err := units.Convert(o.Y, dim, row.Unit)
	if err != nil || o.Y == 0 {
		return nil
	}
	type alt struct {
		factor float64
		slip   fault.Slip
	}
	var alts []alt
	for _, u := range UnitSlips[dim] {
		v, err := units.Parse("1 "+u, dim, units.Metric)
		if err != nil || u == row.Unit {
			continue
		}
		alts = append(alts, alt{v.SI * typed / o.Y, fault.Slip{Kind: fault.SlipUnit, Really: u, Unit: row.Unit}})
		// converted twice, or converted by hand and left with the old unit
		here, err := units.Parse("1 "+row.Unit, dim, units.Metric)
		if err == nil {
			alts = append(alts, alt{here.SI / v.SI, fault.Slip{Kind: fault.SlipConverted, Really: u, Unit: row.Unit}})
		}
	}
	for k := range alts {
		for _, f := range [...]float64{10, 0.1} {
			if math.Abs(alts[k].factor/f-1) < 0.05 { // as mmH2O and Pa
				alts[k].slip.OrPoint = true
			}
		}
	}
	alts = append(alts, alt{10, fault.Slip{Kind: fault.SlipPoint}}, alt{0.1, fault.Slip{Kind: fault.SlipPoint}})
	var out []*fit.Wrong
	for k, a := range alts {
		dup := false
		for _, b := range alts[:k] {
			dup = dup || math.Abs(a.factor/b.factor-1) < 0.005
		}
		if dup || math.Abs(a.factor-1) < 0.05 {
			continue
		}
		out = append(out, &fit.Wrong{Observation: i, Y: o.Y * a.factor, Cfg: -1, Log: math.Log(a.factor), Reason: a.slip, Coarse: true})
	}
	for _, w := range out {
		w.Prior = RowWrong * ShareUnit / float64(len(out))
	}
	return out
}

func Signs(s *fit.Study, i int) []*fit.Wrong {
	o := &s.Observation[i]
	if o.Y == 0 {
		return nil
	}
	switch s.B.Survey.Rows[o.Rows[0]].Quantity {
	case units.StaticPressure, units.Suction, units.PressureDrop, units.VelocityPressure:
		return []*fit.Wrong{{Observation: i, Y: -o.Y, Cfg: -1, Prior: RowWrong * ShareSign, Coarse: true, Reason: fault.Slip{Kind: fault.SlipSign}}}
	}
	return nil
}

// digits: two neighbouring digits changed places.
func digits(s *fit.Study, i int) []*fit.Wrong {
	o := &s.Observation[i]
	t := s.B.Survey.Rows[o.Rows[0]].Typed
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
	var out []*fit.Wrong
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
		out = append(out, &fit.Wrong{Observation: i, Y: o.Y * v / old, Cfg: -1, Reason: fault.Slip{Kind: fault.SlipDigits}})
	}
	for _, w := range out {
		w.Prior = RowWrong * ShareDig / float64(len(out))
	}
	return out
}

// gatesElsewhere: the row was read with another gate open than written.
func gatesElsewhere(s *fit.Study, i int) []*fit.Wrong {
	o := &s.Observation[i]
	here := s.B.Configs[o.Cfg]
	var out []*fit.Wrong
	for c, other := range s.B.Configs {
		if c == o.Cfg || len(other.HoseOff) > 0 || len(here.HoseOff) > 0 {
			continue
		}
		out = append(out, &fit.Wrong{Observation: i, Cfg: c, Y: math.NaN(), Reason: fault.Slip{Kind: fault.SlipGates, Open: other.Open.String()}})
	}
	for _, w := range out {
		w.Prior = RowWrong * ShareGate / float64(len(out))
	}
	return out
}

// pointsElsewhere: the row was read at a neighbour's tap or port.
func pointsElsewhere(s *fit.Study, i int) []*fit.Wrong {
	o := &s.Observation[i]
	sys := s.M.Sys
	row := &s.B.Survey.Rows[o.Rows[0]]
	var others []string
	if d, _, ok := sys.TapAt(row.Point); ok {
		for k := range sys.Ducts {
			if fault.Adjoin(sys, d, k) {
				for _, t := range sys.Ducts[k].Taps {
					others = append(others, t.ID)
				}
			}
		}
	} else if _, ok := sys.PortNamed(row.Point); ok {
		for k, on := range route.Reach(s.M, s.B.Configs[o.Cfg].Config) {
			if on {
				others = append(others, sys.Ports[k].ID)
			}
		}
	}
	var out []*fit.Wrong
	for _, id := range others {
		if id == row.Point || len(out) == neighboursMost {
			continue
		}
		p, err := s.M.ProbeAt(id, row.Quantity)
		if err != nil {
			continue
		}
		if o.Probe.OnAxis() == o.Probe {
			p = p.OnAxis()
		}
		out = append(out, &fit.Wrong{Observation: i, Cfg: o.Cfg, Probe: &p, Y: math.NaN(), Reason: fault.Slip{Kind: fault.SlipPlace, At: id}})
	}
	for _, w := range out {
		w.Prior = RowWrong * SharePoint / float64(len(out))
	}
	return out
}

// neighboursMost is how many neighbours of a point are thought of.
const neighboursMost = 6

// totals: a total pressure was read where a static one is written.
func totals(s *fit.Study, i int) []*fit.Wrong {
	o := &s.Observation[i]
	row := &s.B.Survey.Rows[o.Rows[0]]
	if _, _, tap := s.M.Sys.TapAt(row.Point); !tap || row.Quantity != units.StaticPressure && row.Quantity != units.Suction {
		return nil
	}
	return []*fit.Wrong{{Observation: i, Cfg: o.Cfg, Total: true, Y: math.NaN(), Prior: RowWrong * ShareTotal, Reason: fault.Slip{Kind: fault.SlipTotal}}}
}
