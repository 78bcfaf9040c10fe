package verified

import (
	"fmt"

	"lostair/diagnose/duct"
	"lostair/diagnose/verify"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report"
	"lostair/report/show"
)

// From puts a verification into the reader's units.
func From(v *verify.Report, u units.System) *Verification {
	r := report.From(v.Result, u)
	out := &Verification{Version: report.Version, System: r.System, Survey: r.Survey, Air: show.AmountOf(v.Density, units.Density, u), Tolerance: v.Tolerance,
		FilterTimes: v.Filter, Faults: notSizes(r.Faults, len(v.Sizes)), Cautions: r.Cautions, inUse: len(v.System.Settings) > 0, figures: figuresOf(v.System), Lines: []Line{}, Carry: []CarryNeed{}, Sizes: []SizeNeed{}, Instruments: instruments(v, u),
		Convey: ConveyLimits{show.AmountOf(v.Convey.Branch, units.Velocity, u), show.AmountOf(v.Convey.Main, units.Velocity, u), conveySource(v, u)}}
	for _, l := range v.Lines {
		if l.Topic == verify.NoFault && l.Outcome == verify.NotShown && r.FlowsHold() {
			look := "what lostair plan lists first, which finds small faults too"
			if len(r.Next) > 0 {
				look = show.Lower(report.NextWords(r.Next[0]))
			}
			out.add(l, look, u)
			continue
		}
		out.add(l, toReadWords(l.Show), u)
	}
	out.TooSmall = r.TooSmall
	out.Asked = show.Each(v.Asked, func(o readings.Open) string { return o.String() })
	for _, c := range v.Carry {
		out.Carry = append(out.Carry, carryNeed(c, u))
	}
	for _, x := range v.Sizes {
		out.Sizes = append(out.Sizes, SizeNeed{x.Port, x.Duct, show.Probability(x.Probability), show.IntervalOf(x.Diameter, units.Diameter, u)})
	}
	if f := v.Fan; f.Flow.Value > 0 {
		out.Fan = &FanPlace{f.Open.String(), show.IntervalOf(f.Flow, units.Flow, u), show.IntervalOf(f.Pressure, units.Pressure, u), show.Significant(f.OfFree), show.Significant(f.OfPeak), show.Significant(f.Bears), f.First}
	}
	out.Summary = verifySummary(out)
	if !r.FlowsHold() {
		out.Untold, out.Summary = true, "These readings don't show whether the install is as designed: they fit nothing that this program knows."
		if r.Instead != "" {
			out.Summary = "These readings don't show whether the install is as designed. " + r.Instead
		}
		if out.Unfinished = r.Unfinished; out.Unfinished {
			out.Summary = report.NotFinished
		}
	}
	out.Page = append([]report.Written{}, r.Page...)
	out.Design, out.Built = designWords(out), builtWords(out, r)
	out.Method = verifyMethod(v, u)
	return out
}

// notSizes are the faults except drops that are too small by design, which have
// lines of their own.
func notSizes(all []report.Fault, sizes int) []report.Fault {
	out := []report.Fault{}
	for _, f := range all {
		if f.Kind != "undersized" || sizes == 0 {
			out = append(out, f)
		}
	}
	return out
}

// toReadWords name the reading that would decide a line; "" if none is known.
func toReadWords(r *verify.ToRead) string {
	if r == nil {
		return ""
	}
	s := "the " + show.Quantity(r.Quantity.String()) + " at " + r.Point
	switch {
	case r.Mouth:
		s = "the " + show.Quantity(r.Quantity.String()) + " at the mouth of " + r.Point
	case r.Quantity == units.MeanVelocity:
		s += " by a traverse"
	}
	if r.ShutToo {
		return s + " with all gates shut, and with one open"
	}
	s += ", with " + readings.OpenWords(r.Open)
	if r.Better {
		s += ", several times or with an instrument that errs less"
	}
	return s
}

// remarkWords say why a line came out as it did; "" if it speaks for itself.
func remarkWords(l verify.Line) string {
	switch {
	case l.Unread != "":
		return "nothing that was read shows the air of " + l.Unread
	case l.Named != nil:
		return "the diagnosis names " + l.Named.Kind.String() + " at " + l.Named.Where
	}
	return ""
}

func (v *Verification) add(l verify.Line, toRead string, u units.System) {
	x := Line{Topic: l.Topic.String(), Where: l.Where, ByDesign: l.ByDesign(), Holds: show.Probability(l.Holds), Outcome: string(l.Outcome), Show: toRead, Remark: remarkWords(l)}
	if l.Topic != verify.FanOnCurve && l.Topic != verify.NoFault {
		x.Open, x.Value = l.Open.String(), show.IntervalOf(l.Value, l.Dimension, u)
		x.Least, x.Most, x.Design = show.Value(l.Least, l.Dimension, u), show.Value(l.Most, l.Dimension, u), show.Value(l.Design, l.Dimension, u)
	}
	switch l.Outcome {
	case verify.Pass:
		v.Passed++
	case verify.Fail:
		v.Failed++
		if x.ByDesign {
			v.FailedByDesign++
		}
	default:
		v.NotShown++
	}
	v.Lines = append(v.Lines, x)
}

func carryNeed(c verify.CarryNeed, u units.System) CarryNeed {
	out := CarryNeed{Port: c.Port, Open: c.Open.String(), Together: append([]string{}, c.Together...), Short: append([]string{}, c.Short...), Clear: append([]string{}, c.Clear...)}
	for _, s := range c.Slow {
		out.Slow = append(out.Slow, SlowDuct{s.Duct, show.Value(s.Velocity, units.Velocity, u), show.Value(s.Least, units.Velocity, u), units.Velocity.Symbol(u)})
	}
	return out
}

// instruments are those that the survey names; without a name the usual stand in.
func instruments(v *verify.Report, u units.System) []Instrument {
	used := map[string]bool{}
	for _, r := range v.Survey.Readings {
		used[r.Instrument] = true
	}
	out := []Instrument{}
	for _, in := range v.System.Instruments {
		if used[in.ID] {
			out = append(out, Instrument{in.ID, in.Measures.String(), in.OfReading, show.AmountOf(in.Floor, in.Measures, u)})
		}
	}
	return out
}

// verifySummary says what matters most first: air at the ports, dust, suction.
func verifySummary(v *Verification) string {
	var parts []string
	if n, of := v.count("port-need"); of > 0 {
		parts = append(parts, fmt.Sprintf("%d of %d ports are shown to get the air they need", n, of))
	}
	if n, of := v.count("port-design"); of > 0 {
		parts = append(parts, fmt.Sprintf("%d of %d the air by design", n, of))
	}
	alone, carried := 0, 0
	for _, s := range v.speeds() {
		if !v.isAlone(s.open) {
			continue
		}
		alone++
		if s.fail+s.unsure == 0 {
			carried++
		}
	}
	if alone > 0 {
		use := "with one port open"
		if v.inUse {
			use = "with the gates in use open"
		}
		parts = append(parts, fmt.Sprintf(use+" the dust is carried all the way in %d of %d cases", carried, alone))
	}
	if n, of := v.count("pressure"); of > 0 {
		parts = append(parts, fmt.Sprintf("%d of %d suctions agree with the design", n, of))
	}
	s := show.Listed(parts)
	return show.Title(s) + "."
}

// count is how many lines of a topic pass, of how many.
func (v *Verification) count(topic string) (passed, of int) {
	for _, l := range v.of(topic) {
		if of++; l.Outcome == string(verify.Pass) {
			passed++
		}
	}
	return passed, of
}

// isAlone says whether a setting is that of one port.
func (v *Verification) isAlone(open string) bool {
	for _, l := range v.of("port-design") {
		if l.Open == open {
			return true
		}
	}
	return false
}

// conveySource says where the conveying velocities are from, in the reader's units.
func conveySource(v *verify.Report, u units.System) string {
	if v.Convey.Usual <= 0 {
		return v.Convey.Source
	}
	if v.Convey.Branch == v.Convey.Usual && v.Convey.Main == v.Convey.Usual {
		return "the usual where the system file states none: " + v.Convey.Source
	}
	return fmt.Sprintf("of which %s is the usual where the system file states none: %s", units.Format(v.Convey.Usual, units.Velocity, u), v.Convey.Source)
}

// verifyMethod says how it was judged.
func verifyMethod(v *verify.Report, u units.System) []string {
	out := append(show.Each(v.Remarks, show.DoubtWords),
		"Flows, velocities and pressures are calculated by a model of the system file, corrected by the readings: losses, fan, filter and leakage may differ from the file by the usual amounts, faults are searched for, and each figure has the uncertainty that the readings and their instruments leave.",
		"A demand passes if it is met with a probability of at least 95 %, and fails if with no more than 5 %. In between it is not shown. Intervals are 90 % ones.",
		fmt.Sprintf("Against design means against the system file as it stands: flow no more than %.0f %% below it, static pressure within %.0f %% of it.", 100*v.Tolerance, 100*v.Tolerance),
		"Conveying velocity: "+conveySource(v, u)+". It is judged at the upstream end of each duct, "+judgedIn(v.System),
		"What a code or an authority demands beyond that (capture at the hood, sound, bonding, explosion relief) was not looked at.",
	)
	if len(v.System.Instruments) == 0 {
		out = append(out, "The system file names no instruments; a water manometer and a vane anemometer of the usual errors are taken to have been used.")
	}
	if a := airWords(v.System, u); a != "" {
		out = append(out, a)
	}
	return out
}

// judgedIn says in which settings of the gates speeds are judged.
func judgedIn(s *duct.System) string {
	if len(s.Settings) > 0 {
		return "in the settings of the gates that the system file says are in use, in those of the survey and in those asked for."
	}
	return "with each port's gates open alone, with pairs of ports that work together, in the settings of the survey and in those asked for, and with all gates open."
}

// airWords is the air used in the calculation.
func airWords(s *duct.System, u units.System) string {
	if s.Air.Standard {
		return "The system file gives no air; standard air is taken."
	}
	return fmt.Sprintf("Air of %s, %.0f %% relative humidity, %s above the sea.", units.Format(s.Air.Temperature, units.Temperature, u), 100*s.Air.Humidity, units.Format(s.Air.Altitude, units.Length, u))
}
