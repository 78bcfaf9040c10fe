package trial

import (
	"lostair/diagnose/airflow"
	"lostair/diagnose/trial/internal/dice"
	"lostair/diagnose/trial/survey"
	"lostair/readings/units"
)

// Either is a choice that the seed makes unless the caller does.
type Either uint8

const (
	BySeed Either = iota
	Yes
	No
)

// by makes the choice; it draws in any case, so that the stream goes on alike.
func (e Either) by(d dice.Dice, p float64) bool {
	u := d.Chance(p)
	if e == BySeed {
		return u
	}
	return e == Yes
}

// Options shape a case. The zero Options is a plant of 3 to 24 ports, as far
// off its page as the page says.
type Options struct {
	Ports    int          // 0: 3 to 24 by seed
	Style    survey.Style // "": by seed
	Readings int          // rows of the survey; 0: what the style asks for
	US       Either       // units of the files
	Baseline Either       // by seed: half of the cases
	Kinds    []string     // faults to be injected, by name, a place each; nil: by seed, none in a third of the cases
	Sound    bool         // inject none
	Wrong    Either       // whether rows are wrong; by seed: 15 % of the cases

	// Quick leaves as-built variation out of SNR and Observable, which takes
	// seconds on a plant of hundreds of ports: SNR is then MaxShift, against
	// the instrument's error alone.
	Quick bool

	// How far the plant lies beyond what the page says of itself.
	Spread     float64 // factor on all as-built spreads; 0: 1
	Off        float64 // share of elements, fan and filter apart, that are off by another 1.3 to 2 times
	Join       Law     // by seed: either
	LeakPower  float64 // exponent of background leakage; 0: 0.5 to 0.65 by seed
	ZeroError  float64 // standard deviation of an offset that a manometer has through a survey, as a multiple of its floor
	HeavyTails float64 // share of readings whose fresh error is three times as large
	Misjudged  float64 // factor on the instruments' real errors; 0: 1
}

// Law says by which law ducts of the true plant join.
type Law uint8

const (
	AnyLaw Law = iota
	MomentumLaw
	HandbookLaw
)

// Stress is the stress set: twice the spread, one element in twenty off by 1.3
// to 2 times, background leakage of an exponent between 0.5 and 0.65, an offset
// of the manometers through a survey; in all else it is our own model.
func Stress() Options { return Options{Spread: 2, Off: 0.05, ZeroError: 1, Join: MomentumLaw} }

// Harsh is harsher than Stress: either law of joins, heavy tails and instruments worse than they
// claim to be as well.
func Harsh() Options {
	o := Stress()
	o.Join = AnyLaw
	o.HeavyTails, o.Misjudged = 0.05, 1.2
	return o
}

// settled is what a case's options come to once the seed has spoken.
type settled struct {
	Options
	units    units.System
	baseline bool
	wrong    bool
	air      airflow.Options
}

func (o Options) settle(seed uint64) settled {
	d := dice.New(seed, dice.StreamChoice)
	out := settled{Options: o}
	ports := int(d.LogBetween(3, 24.99))
	if out.Ports == 0 {
		out.Ports = ports
	}
	style := dice.Pick(d, survey.Sparse, survey.Normal, survey.Normal, survey.Rich, survey.Rich)
	if out.Style == "" {
		out.Style = style
	}
	if o.US.by(d, 0.4) {
		out.units = units.US
	}
	out.baseline = o.Baseline.by(d, 0.5)
	out.wrong = o.Wrong.by(d, 0.15)
	if out.Spread == 0 {
		out.Spread = 1
	}
	if out.Misjudged == 0 {
		out.Misjudged = 1
	}
	out.air = airflow.Options{Join: dice.Pick(d, airflow.Momentum, airflow.Handbook), LeakExponent: d.Between(0.5, 0.65)}
	switch o.Join {
	case MomentumLaw:
		out.air.Join = airflow.Momentum
	case HandbookLaw:
		out.air.Join = airflow.Handbook
	}
	if o.LeakPower != 0 {
		out.air.LeakExponent = o.LeakPower
	}
	return out
}
