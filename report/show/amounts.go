package show

import (
	"math"
	"strings"

	"lostair/diagnose/fault"
	"lostair/readings/units"
)

// Amount is a value with its unit.
type Amount struct {
	Value float64 `json:"value"`
	Unit  string  `json:"unit"`
}

// AmountOf converts a value.
func AmountOf(si float64, d units.Dimension, u units.System) Amount {
	return Amount{Value(si, d, u), d.Symbol(u)}
}

// Interval is a value with its 90 % interval.
type Interval struct {
	Value float64 `json:"value"`
	Low   float64 `json:"low"`  // 5 % lie below
	High  float64 `json:"high"` // 5 % lie above
	Unit  string  `json:"unit"` // of all three
}

// IntervalOf converts an interval; nil if any of its ends is no number.
func IntervalOf(iv fault.Interval, d units.Dimension, u units.System) *Interval {
	if !Numbers(iv.Value, iv.Low, iv.High) {
		return nil
	}
	return &Interval{Value: Value(iv.Value, d, u), Low: Value(iv.Low, d, u), High: Value(iv.High, d, u), Unit: d.Symbol(u)}
}

// IntervalIn converts an interval into the unit in which a row was written.
func IntervalIn(iv fault.Interval, d units.Dimension, symbol string) *Interval {
	out := Interval{Unit: symbol}
	for _, p := range [...]struct {
		to *float64
		si float64
	}{{&out.Value, iv.Value}, {&out.Low, iv.Low}, {&out.High, iv.High}} {
		v, err := units.Convert(p.si, d, symbol)
		if err != nil || !Numbers(v) {
			return nil
		}
		*p.to = Significant(v)
	}
	return &out
}

// Places is how many decimals an interval's three numbers have.
func (iv Interval) Places() int { return Places(math.Abs(iv.High - iv.Low)) }

// Mid is an interval's value, to the digits that it is known to.
func (iv Interval) Mid() string { return iv.Shown(iv.Value) }

// Span is an interval's two ends.
func (iv Interval) Span() string { return iv.Shown(iv.Low) + " to " + iv.Shown(iv.High) }

// Shown is a number in the digits of the interval, three figures at most.
func (iv Interval) Shown(v float64) string {
	return Ranged(v, Step(iv.Low, iv.High), func(v float64) string { return Fixed(v, iv.Places()) })
}

// WithSpan is an interval's two ends with their unit, where it has one.
func WithSpan(iv Interval) string {
	if iv.Unit == "" || iv.Unit == "x" {
		return iv.Span()
	}
	return iv.Span() + " " + iv.Unit
}

// EvenSpan is an interval in even figures.
func EvenSpan(v *Interval) string {
	step := Step(v.Low, v.High)
	return Ranged(v.Low, step, Even) + " to " + Ranged(v.High, step, Even)
}

// SpanIn is a range in the unit of its quantity, the unit behind it.
func SpanIn(low, high float64, d units.Dimension, u units.System) string {
	step := Step(d.FromSI(u, low), d.FromSI(u, high))
	one := func(si float64) string {
		return Ranged(d.FromSI(u, si), step, func(float64) string { return units.FormatBare(si, d, u) })
	}
	return one(low) + " to " + strings.TrimSpace(one(high)+" "+d.Symbol(u))
}

// Range is from where to where a value may lie.
type Range struct {
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// Between is a number with its 90 % interval.
type Between struct {
	Value float64 `json:"value"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
}
