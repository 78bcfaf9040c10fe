package report

import (
	"math"
	"slices"
	"strings"

	"lostair/diagnose"
	"lostair/readings"
	"lostair/readings/units"
)

// From puts a diagnosis into the reader's units.
func From(d *diagnose.Result, u units.System) *Result {
	c := converter{d: d, u: u}
	r := &Result{
		Version:    Version,
		System:     System{Units: u.String()},
		Verdict:    string(d.Verdict),
		Sound:      probability(d.Sound),
		Unlisted:   probability(d.Unlisted),
		Faults:     each(d.Faults, c.fault),
		Candidates: each(d.Candidates, c.listed),
		Ports:      each(d.Ports, c.port),
		Next:       each(d.Next, c.next),
		Fixes:      each(d.Fixes, c.fix),
		Checks:     c.checks(),
		Doubts:     append([]string{}, d.Doubts...),
		Shows:      shownOf(d.Shows, u),
		Cautions:   cautions(d),
	}
	if d.System != nil {
		r.System.Name, r.System.File = d.System.Name, d.System.File
	}
	if d.Survey != nil {
		r.Survey = survey(d.Survey)
	}
	if len(d.Baselines) > 0 {
		r.Baselines = each(d.Baselines, survey)
	}
	if d.Verdict == diagnose.Unclear && d.Instead != "" {
		r.Instead = d.Instead // the summary says it
		r.Doubts = slices.DeleteFunc(r.Doubts, func(s string) bool { return s == d.Instead })
	}
	r.Summary = summary(r)
	return r
}

// each converts a list; the result is never nil, so that JSON shows [] and not
// null.
func each[A, B any](in []A, f func(A) B) []B {
	out := make([]B, len(in))
	for i, x := range in {
		out[i] = f(x)
	}
	return out
}

type converter struct {
	d *diagnose.Result
	u units.System
}

func (c converter) candidate(x diagnose.Candidate) Candidate {
	return Candidate{Kind: x.Kind.String(), Where: x.Where, Probability: probability(x.Probability), Name: c.name(x.Kind, x.Where)}
}

// listed is a candidate with those that these readings can't tell from it.
func (c converter) listed(x diagnose.Candidate) Candidate {
	out := c.candidate(x)
	for _, g := range c.d.Groups {
		for i, m := range g.Members {
			if m.Kind != x.Kind || m.Where != x.Where {
				continue
			}
			for k, o := range g.Members {
				if k != i {
					out.Alike = append(out.Alike, c.candidate(o))
				}
			}
			return out
		}
	}
	return out
}

func survey(s *readings.Survey) Survey {
	out := Survey{File: s.File, Rows: len(s.Rows), Readings: len(s.Readings)}
	for _, r := range s.Rows {
		if r.Date == "" {
			continue
		}
		if out.First == "" || r.Date < out.First {
			out.First = r.Date
		}
		out.Last = max(out.Last, r.Date)
	}
	return out
}

func (c converter) fault(f diagnose.Fault) Fault {
	out := Fault{
		Candidate: c.candidate(f.Candidate),
		Together:  max(probability(f.Together), probability(f.Probability)),
		Severity:  interval(f.Severity, f.Dimension, c.u),
		Alike:     each(f.Alike, c.candidate),
		Zone:      f.Zone,
		Why:       f.Why,
		Do:        remedy(f),
	}
	if f.Row != nil {
		out.Row = c.row(f.Row)
		out.Severity = inUnit(f.Severity, f.Row.Quantity.Dimension(), f.Row.Unit)
	}
	if out.Severity != nil && f.Row != nil && absurd(f.Severity, f.Row.Quantity.Dimension()) {
		out.HowBad = nothingFits
	} else if out.Severity != nil {
		out.HowBad = c.howBad(f, *out.Severity)
	}
	for _, e := range f.Evidence {
		if x, ok := c.evidence(e); ok {
			out.Evidence = append(out.Evidence, x)
		}
	}
	if f.Fix != nil {
		out.Do = f.Fix.Do
		out.Gains = each(f.Fix.Gains, c.gain)
	}
	return out
}

// mostPressure, mostVelocity and mostFlow, SI, are above whatever a dust system
// shows. Common practice, no source.
const (
	mostPressure = 50e3
	mostVelocity = 150.0
	mostFlow     = 200.0
)

// absurd says whether a value that would fit in place of a wrong one is none
// that a dust system can show, or known to no digit.
func absurd(iv diagnose.Interval, d units.Dimension) bool {
	v := math.Abs(iv.Value)
	if iv.High-iv.Low > 10*v {
		return true
	}
	switch d {
	case units.Pressure:
		return v > mostPressure
	case units.Velocity:
		return v > mostVelocity
	case units.Flow:
		return v > mostFlow
	}
	return false
}

func (c converter) row(r *readings.Row) *Row {
	out := &Row{Line: r.Line, Open: r.Open.String(), Point: r.Point, Quantity: r.Quantity.String(), Value: r.Typed, Unit: r.Unit}
	if c.d.Survey != nil {
		out.File = c.d.Survey.File
	}
	return out
}

func (c converter) reading(r readings.Reading) Reading {
	out := Reading{Lines: []int{}, Open: r.Open.String(), Point: r.Point, Quantity: r.Quantity.String(), HoseOff: strings.Join(r.HoseOff, "+")}
	for _, i := range r.Rows {
		if c.d.Survey != nil && i < len(c.d.Survey.Rows) {
			out.Lines = append(out.Lines, c.d.Survey.Rows[i].Line)
		}
	}
	return out
}

func (c converter) evidence(e diagnose.Evidence) (Evidence, bool) {
	if e.Reading < 0 || e.Reading >= len(c.d.Checks) || !numbers(e.Measured, e.Sound, e.WithFault, e.Sigma) {
		return Evidence{}, false
	}
	r := c.d.Checks[e.Reading].Reading
	d := r.Quantity.Dimension()
	return Evidence{Reading: c.reading(r), Measured: value(e.Measured, d, c.u), Sound: value(e.Sound, d, c.u),
		WithFault: value(e.WithFault, d, c.u), Sigma: spread(e.Sigma, d, c.u), Unit: d.Symbol(c.u)}, true
}

func (c converter) checks() []Check {
	out := []Check{}
	for _, k := range c.d.Checks {
		if numbers(k.Measured, k.Expected, k.Sigma, k.Fitted) {
			out = append(out, c.check(k))
		}
	}
	return out
}

func (c converter) check(k diagnose.Check) Check {
	d := k.Reading.Quantity.Dimension()
	return Check{Reading: c.reading(k.Reading), Measured: value(k.Measured, d, c.u), Expected: value(k.Expected, d, c.u),
		Sigma: spread(k.Sigma, d, c.u), Fitted: value(k.Fitted, d, c.u), Unit: d.Symbol(c.u), Wrong: k.Wrong}
}

func (c converter) port(p diagnose.PortFlow) Port {
	out := Port{Port: p.Port, Open: p.Open.String(), Flow: interval(p.Flow, units.Flow, c.u), Need: value(p.Need, units.Flow, c.u)}
	if numbers(p.Expected) {
		v := value(p.Expected, units.Flow, c.u)
		out.Expected = &v
	}
	return out
}

func (c converter) next(n diagnose.Next) Next {
	return Next{Point: n.Point, Quantity: n.Quantity.String(), Open: n.Open.String(), HoseOff: strings.Join(n.HoseOff, "+"), Look: n.Look,
		Bits: significant(finite(n.Bits)), Minutes: significant(finite(n.Minutes)), Why: n.Why}
}

func (c converter) fix(f diagnose.Fix) Fix {
	return Fix{For: each(f.For, c.candidate), Do: f.Do, Cost: f.Cost, Gains: each(f.Gains, c.gain), Hint: f.Hint}
}

func (c converter) gain(g diagnose.Gain) Gain {
	return Gain{Port: g.Port, Open: g.Open.String(), Before: value(g.Before, units.Flow, c.u),
		After: interval(g.After, units.Flow, c.u), Need: value(g.Need, units.Flow, c.u)}
}
