package trial

import (
	"fmt"
	"math"
	"slices"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/trial/internal/dice"
	"lostair/diagnose/trial/plant"
)

// built is a plant as it stands: the page's system changed in what is measured
// out (taps, diameters, fan curve), and a deviation of every part.
type built struct {
	page  *duct.System
	sys   *duct.System // cut at the faults, as built
	opt   settled
	param []param
	parts []builtPart // in the order of the model's parts
	tap   map[string]tapError
	off   []float64 // by parameter: factor beyond the spread, 0 none
}

// param is a standard normal deviation; a part has up to two.
type param struct {
	key   [3]int32 // what, family or duct, port or gate
	value float64
}

// builtPart is a part of a coefficient as built: base·exp(Σ sd·value), or base
// + Σ sd·value where added.
type builtPart struct {
	slot  airflow.Slot
	what  airflow.What
	base  float64
	page  float64 // the base on the page; differs where bends stand in one place
	duct  int32
	added bool
	ix    [3]int32
	sd    [3]float64
	most  float64 // of the value; 0: no bound
}

// soundLeak is the open area, as a share of the bore, that leaks at one joint
// or shut gate of a sound plant at most: a quarter of a usual leak. However wide
// the spread is drawn, a joint that leaks more has a fault.
const soundLeak = 0.01

// tapError is what a tap adds to each reading, the same in every survey.
type tapError struct {
	bias float64 // of static pressure, share of the velocity pressure there
	axis float64 // of a velocity on the axis, share
	skew float64 // of the profile across a traverse
}

// cut is a place where a duct of the true plant has a node of its own.
type cut struct {
	duct int
	at   float64 // m
}

// Background leakage of the true plant is that of the page at a pressure usual
// in leakage tests, Pa, though it follows another power of it.
const testPressure, pageLeakPower = 1000, 0.65

// spread of a kind of part: for itself and with its family, 1 sigma of the
// logarithm; added parts in K. losses: at an uncertainty of losses of 15 %.
type spread struct {
	own, family   float64
	added, losses bool
}

func spreadOf(w airflow.What) spread {
	switch w {
	case airflow.Hood:
		return spread{0.16, 0.10, false, true}
	case airflow.PlainEnd:
		return spread{0.06, 0.06, false, false}
	case airflow.Friction:
		return spread{0.16, 0.15, false, true}
	case airflow.Bends:
		return spread{0.22, 0.15, false, true}
	case airflow.FreeLoss:
		return spread{0.25, 0, false, true}
	case airflow.Section:
		return spread{0.40, 0.20, false, true}
	case airflow.Entry:
		return spread{0.10, 0.08, true, true}
	case airflow.Passage:
		return spread{0.05, 0.06, true, true}
	case airflow.Exchange:
		return spread{0.08, 0.04, false, true}
	case airflow.OpenGate:
		return spread{0.40, 0.30, false, false}
	case airflow.ShutGate:
		return spread{0.60, 0.40, false, false}
	case airflow.Seepage:
		return spread{0.50, 0.50, false, false}
	case airflow.CycloneLoss:
		return spread{0.12, 0, false, false}
	}
	return spread{}
}

// build draws the plant. Cuts are distances along ducts where a fault will be.
func build(page *duct.System, opt settled, seed uint64, cuts []cut) *built {
	d := dice.New(seed, dice.StreamBuilt)
	b := &built{page: page, opt: opt, tap: map[string]tapError{}}
	b.measureOut(d)
	b.cut(cuts)
	b.draw(d, plant.MustModel(b.sys, opt.air))
	return b
}

// measureOut changes what a tape would show: taps sit elsewhere, pipe of a
// nominal size has its own real one, and the fan's curve is a little turned.
func (b *built) measureOut(d dice.Dice) {
	b.sys = b.page.Copy()
	u := b.opt.Spread
	real := map[float64]float64{}
	for i := range b.sys.Ducts {
		t := &b.sys.Ducts[i]
		if _, ok := real[t.Diameter]; !ok {
			real[t.Diameter] = t.Diameter * d.Factor(0.004*u)
		}
		for j := range t.Taps {
			at := t.Taps[j].Distance + 0.06*u*d.NormFloat64()
			t.Taps[j].Distance = min(max(at, 0.05*t.Length), 0.98*t.Length)
			b.tap[t.Taps[j].ID] = tapError{bias: 0.02 * u * d.NormFloat64(), axis: 0.02 * u * d.NormFloat64(), skew: 0.15 * d.NormFloat64()}
		}
		slices.SortStableFunc(t.Taps, func(x, y duct.Tap) int {
			switch {
			case x.Distance < y.Distance:
				return -1
			case x.Distance > y.Distance:
				return 1
			}
			return 0
		})
		t.Diameter = real[t.Diameter]
	}
	if r, ok := real[b.sys.Collector.Inlet]; ok {
		b.sys.Collector.Inlet = r
	}
	turn := 0.015 * u * d.NormFloat64()
	c := b.sys.Collector.Curve
	for i := range c {
		c[i].Pressure *= 1 + turn*(c[i].Flow/c[len(c)-1].Flow-0.5)
		if i > 1 {
			c[i].Pressure = min(c[i].Pressure, c[i-1].Pressure)
		}
	}
}

// cut lays a node at each place and makes the true system ready for use.
func (b *built) cut(cuts []cut) {
	for i, c := range cuts {
		d := &b.sys.Ducts[c.duct]
		d.Taps = append(d.Taps, duct.Tap{ID: fmt.Sprintf("~cut%d", i), Distance: c.at})
	}
	b.sys.Finish() // its warnings are the page's
}

// draw gives every part its deviation.
func (b *built) draw(d dice.Dice, m *airflow.Model) {
	index := map[[3]int32]int32{}
	home := b.homes(d, m)
	for _, p := range m.Parts() {
		q := builtPart{slot: p.Slot, what: p.What, base: p.Base * home(p), page: p.Base, duct: p.Duct, ix: [3]int32{-1, -1, -1}}
		if p.What == airflow.Seepage { // the class holds at the pressure of a leakage test, whatever the exponent
			q.base *= math.Pow(testPressure, pageLeakPower-b.opt.air.LeakExponent)
		}
		sp := b.spread(p.What)
		q.added, q.most = sp.added, b.mostLeak(m, p)
		add := func(k int, sd float64, key [3]int32) {
			if sd == 0 {
				return
			}
			i, ok := index[key]
			if !ok {
				i = int32(len(b.param))
				index[key] = i
				b.param = append(b.param, param{key, d.NormFloat64()})
			}
			q.ix[k], q.sd[k] = i, sd
		}
		w := int32(p.What)
		add(0, sp.own, [3]int32{w, p.Duct, max(p.Port, p.Gate)})
		add(1, sp.family, [3]int32{w, -2 - b.family(p), -1})
		switch p.What {
		case airflow.Friction: // no two metres are alike
			add(2, 0.06*b.opt.Spread, [3]int32{w + 100, p.Slot.Ix, -1})
		case airflow.Seepage: // joints leak, not sheet
			add(2, 0.6, [3]int32{w + 100, p.Slot.Ix, p.Duct})
		}
		b.parts = append(b.parts, q)
	}
	b.lieOff(d)
}

// lieOff draws which parameters are off beyond their spread. Fan and filter are
// not: at two thirds of its curve a fan is weak, and a filter of twice its drop
// is loaded, so that plant would not be sound.
func (b *built) lieOff(d dice.Dice) {
	b.off = make([]float64, len(b.param))
	for i := range b.off {
		hit, f, up := d.Chance(b.opt.Off), math.Log(d.Between(1.3, 2)), d.Chance(0.6)
		key := b.param[i].key
		what := airflow.What(key[0])
		faulty := what == airflow.FanSpeed || what == airflow.FanPressure || what == airflow.FilterLoss
		if own := key[1] >= -1 && key[0] < 100; hit && own && !faulty {
			if !up {
				f = -f
			}
			b.off[i] = f
		}
	}
}

// homes tells how much of a duct's bends and free losses each segment really
// has: they stand in one place, not spread over the duct.
func (b *built) homes(d dice.Dice, m *airflow.Model) func(airflow.Part) float64 {
	at := make([]int, len(b.sys.Ducts))
	for i := range at {
		seg := m.DuctSegments(i)
		w := make([]float64, len(seg))
		for k, x := range seg {
			w[k] = m.Position(x).To - m.Position(x).From + 1e-9
		}
		at[i] = seg[d.Weighted(w)]
	}
	return func(p airflow.Part) float64 {
		if p.What != airflow.Bends && p.What != airflow.FreeLoss {
			return 1
		}
		if int(p.Slot.Ix) != at[p.Duct] {
			return 0
		}
		x := m.Position(at[p.Duct])
		return b.sys.Ducts[p.Duct].Length / max(x.To-x.From, 1e-9)
	}
}

// spread scales a kind's spread to what the page says of itself and by what the
// options ask for.
func (b *built) spread(w airflow.What) spread {
	sp, u := spreadOf(w), b.page.Uncertainty
	f := b.opt.Spread
	if sp.losses && u.Losses > 0 {
		f *= u.Losses / 0.15
	}
	fan := 0.04
	if u.Fan > 0 {
		fan = u.Fan
	}
	switch w {
	case airflow.FanSpeed, airflow.FanPressure: // half of the fan's spread each
		sp.own = b.opt.Spread * fan / 2
		return sp
	case airflow.FilterLoss:
		sp.own = filterBuilt * b.filterSpread()
		return sp
	}
	sp.own *= f
	sp.family *= f
	return sp
}

// filterBuilt and filterOfDay divide it: a clean filter drops what it drops, and
// its state differs from day to day.
const filterBuilt, filterOfDay = 0.85, 0.55

// filterSpread is 1 sigma of the filter's loss, built and of the day.
func (b *built) filterSpread() float64 {
	u := b.page.Uncertainty.Filter
	if u == 0 {
		u = 0.25
	}
	return b.opt.Spread * u
}

// family is which parts of a kind deviate together.
func (b *built) family(p airflow.Part) int32 {
	if p.Duct < 0 {
		return 0
	}
	d := &b.sys.Ducts[p.Duct]
	switch p.What {
	case airflow.Friction:
		if d.Material == "flexible" {
			return 1
		}
	case airflow.Entry, airflow.Exchange:
		if !d.Straight {
			return 1
		}
	}
	return 0
}

// coefs are the coefficients of the sound plant as built, in the shape of m.
func (b *built) coefs(m *airflow.Model) airflow.Coefs {
	c := m.NewCoefs()
	for i := range b.parts {
		p := &b.parts[i]
		v, _ := b.value(p)
		*p.slot.Of(&c) += v
	}
	return c
}

// value of a part, and its slope by the sum of its deviations.
func (b *built) value(p *builtPart) (v, slope float64) {
	var e float64
	for k, i := range p.ix {
		if i < 0 {
			continue
		}
		e += p.sd[k] * b.param[i].value
		if !p.added {
			e += b.off[i]
		}
	}
	if p.added {
		return p.base + e, 1
	}
	v = p.base * math.Exp(e)
	if p.most > 0 && v > p.most {
		return p.most, 0
	}
	return v, v
}

// mostLeak is the bound of a part that leaks, as its coefficient; 0 for others.
func (b *built) mostLeak(m *airflow.Model, p airflow.Part) float64 {
	if p.Duct < 0 {
		return 0
	}
	area := soundLeak * m.Position(m.DuctSegments(int(p.Duct))[0]).Bore
	switch p.What {
	case airflow.ShutGate:
		return max(area, p.Base)
	case airflow.Seepage: // that area at the pressure of a leakage test
		return max(0.61*area*math.Sqrt(2*testPressure/m.Air.Density)/math.Pow(testPressure, b.opt.air.LeakExponent), p.Base)
	}
	return 0
}
