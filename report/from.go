package report

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"lostair/diagnose"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report/finding"
	"lostair/report/show"
)

// From puts a diagnosis into the reader's units.
func From(d *diagnose.Result, u units.System) *Result {
	c := Converter{finding.Words{D: d, U: u}}
	r := &Result{
		Version:    Version,
		System:     System{Units: u.String()},
		Verdict:    string(d.Verdict),
		Unfinished: d.Unfinished,
		Faulty:     show.Probability(d.Broken),
		Sound:      show.Probability(d.Sound),
		Broken:     Broken{show.Probability(max(d.Broken, d.Mistaken))},
		Unlisted:   show.Probability(d.Unlisted),
		Faults:     show.Each(d.Faults, c.fault),
		Candidates: show.Each(d.Candidates, c.listed),
		Ports:      show.Each(d.Ports, c.port),
		Next:       show.Each(d.Next, c.next),
		Enough:     c.enough(d.Enough),
		Fixes:      show.Each(d.Fixes, c.fix),
		Checks:     c.checks(),
		Doubts:     doubts(d),
		Page:       show.Each(d.Page, c.written),
		Shows:      ShownOf(d.Shows, u),
		Cautions:   cautions(d),
	}
	if d.System != nil {
		r.System.Name, r.System.File = d.System.Name, d.System.File
	}
	if d.Survey != nil {
		r.Survey = SurveyOf(d.Survey)
	}
	if len(d.Baselines) > 0 {
		r.Baselines = show.Each(d.Baselines, SurveyOf)
	}
	if d.Verdict == diagnose.Unclear {
		r.Instead = show.DoubtWords(d.Instead) // the summary says it
	}
	if f := fanEnds(d.Fan, u); f != nil {
		r.Fan = f
		r.Doubts = append([]string{"The system file has no fan curve; with these readings it runs from " + show.WithSpan(r.Fan.MostAir) + " at no pressure to " +
			show.WithSpan(r.Fan.MostSuction) + " at no flow. A sheet with its curve, or readings at the collector, narrow all answers."}, r.Doubts...)
	}
	r.addMistakes()
	r.AllFixed = show.Each(d.AllFixed, c.gain)
	if len(d.TooSmall) == 0 || d.System == nil {
		r.TooSmall = []TooSmall{}
	} else {
		r.TooSmall = show.Each(d.TooSmall, c.tooSmall)
	}
	r.System.Ducts = c.ducts()
	r.Summary = summary(r)
	r.Answer = answer(r)
	return r
}

// listed is a candidate with those that these readings can't distinguish from it.
func (c Converter) listed(x fault.Candidate) Candidate {
	out := c.Candidate(x)
	for _, g := range c.D.Groups {
		for i, m := range g.Members {
			if m.Kind != x.Kind || m.Where != x.Where {
				continue
			}
			for k, o := range g.Members {
				if k != i {
					out.Alike = append(out.Alike, c.Candidate(o))
				}
			}
			return out
		}
	}
	return out
}

// ducts are the tree of the system.
func (c Converter) ducts() []Duct {
	if c.D.System == nil {
		return nil
	}
	s := c.D.System
	out := make([]Duct, len(s.Ducts))
	for i := range s.Ducts {
		d := &s.Ducts[i]
		out[i] = Duct{ID: d.ID, Into: "collector", Diameter: show.AmountOf(d.Diameter, units.Diameter, c.U), Gate: d.Gate}
		if d.Rectangular() {
			w, h := show.AmountOf(d.Width, units.Diameter, c.U), show.AmountOf(d.Height, units.Diameter, c.U)
			out[i].Width, out[i].Height = &w, &h
		}
		if d.Into >= 0 && d.Into < len(s.Ducts) {
			out[i].Into = s.Ducts[d.Into].ID
		}
	}
	for _, p := range s.Ports {
		if p.Duct >= 0 && p.Duct < len(out) {
			out[p.Duct].Port = p.ID
		}
	}
	return out
}

// SurveyOf says of a survey what a result names.
func SurveyOf(s *readings.Survey) Survey {
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

func (c Converter) fault(f diagnose.Fault) Fault {
	out := Fault{
		Candidate: c.Candidate(f.Candidate),
		Together:  max(show.Probability(f.Together), show.Probability(f.Probability)),
		Severity:  show.IntervalOf(f.Severity, f.Dimension, c.U),
		Alike:     show.Each(f.Alike, c.Candidate),
		Zone:      c.Zone(f),
		Why:       cmp.Or(f.Port, show.SlipWords(f.Slip)),
		Do:        finding.Remedy(f),
	}
	if f.Row != nil {
		out.Row = c.row(f.Row)
		out.Severity = show.IntervalIn(f.Severity, f.Row.Quantity.Dimension(), f.Row.Unit)
	}
	if out.Severity != nil && f.Row != nil && absurd(f.Severity, f.Row.Quantity.Dimension()) {
		out.HowBad = show.NothingFits
	} else if out.Severity != nil {
		out.HowBad = c.HowBad(f, *out.Severity)
	}
	for _, e := range f.Evidence {
		if x, ok := c.evidence(e); ok {
			out.Evidence = append(out.Evidence, x)
		}
	}
	shares(&out)
	if f.Fix != nil {
		out.Do = c.Fix(*f.Fix)
		out.Gains = show.Each(f.Fix.Gains, c.gain)
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
func absurd(iv fault.Interval, d units.Dimension) bool {
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

func (c Converter) row(r *readings.Row) *Row {
	out := &Row{Line: r.Line, Open: r.Open.String(), Point: r.Point, Quantity: r.Quantity.String(), Value: r.Typed, Unit: r.Unit}
	if c.D.Survey != nil {
		out.File = c.D.Survey.File
	}
	return out
}

func (c Converter) reading(r readings.Reading) Reading {
	out := Reading{Lines: []int{}, Open: r.Open.String(), Point: r.Point, Quantity: r.Quantity.String(), HoseOff: strings.Join(r.HoseOff, "+")}
	for _, i := range r.Rows {
		if c.D.Survey != nil && i < len(c.D.Survey.Rows) {
			out.Lines = append(out.Lines, c.D.Survey.Rows[i].Line)
		}
	}
	return out
}

func (c Converter) evidence(e diagnose.Evidence) (Evidence, bool) {
	if e.Reading < 0 || e.Reading >= len(c.D.Checks) || !show.Numbers(e.Measured, e.Sound, e.WithFault, e.Sigma) {
		return Evidence{}, false
	}
	r := c.D.Checks[e.Reading].Reading
	d := r.Quantity.Dimension()
	return Evidence{Reading: c.reading(r), Measured: show.Value(e.Measured, d, c.U), Sound: show.Value(e.Sound, d, c.U),
		WithFault: show.Value(e.WithFault, d, c.U), Sigma: show.Spread(e.Sigma, d, c.U), Unit: d.Symbol(c.U)}, true
}

func (c Converter) checks() []Check {
	out := []Check{}
	for _, k := range c.D.Checks {
		if show.Numbers(k.Measured, k.Expected, k.Sigma, k.Fitted) {
			out = append(out, c.check(k))
		}
	}
	return out
}

func (c Converter) check(k diagnose.Check) Check {
	d := k.Reading.Quantity.Dimension()
	return Check{Reading: c.reading(k.Reading), Measured: show.Value(k.Measured, d, c.U), Expected: show.Value(k.Expected, d, c.U),
		Sigma: show.Spread(k.Sigma, d, c.U), Fitted: show.Value(k.Fitted, d, c.U), Unit: d.Symbol(c.U), Wrong: k.Wrong}
}

func (c Converter) port(p diagnose.PortFlow) Port {
	out := Port{Port: p.Port, Open: p.Open.String(), Flow: show.IntervalOf(p.Flow, units.Flow, c.U), Need: show.Value(p.Need, units.Flow, c.U), InUse: c.inUse(p)}
	if show.Numbers(p.Expected) {
		v := show.Value(p.Expected, units.Flow, c.U)
		out.Expected = &v
	}
	return out
}

// inUse says whether a port is judged in a setting.
func (c Converter) inUse(p diagnose.PortFlow) bool {
	s := c.D.System
	if s == nil {
		return false
	}
	if len(s.Settings) > 0 {
		return slices.ContainsFunc(s.Settings, func(o duct.Setting) bool { return o.String() == p.Open.String() })
	}
	i, ok := s.PortNamed(p.Port)
	if !ok {
		return false
	}
	var own []string
	for d := s.Ports[i].Duct; d >= 0 && d < len(s.Ducts); d = s.Ducts[d].Into {
		if g := s.Ducts[d].Gate; g != "" {
			own = append(own, g)
		}
	}
	slices.Sort(own)
	return p.Open.String() == readings.Open{Gates: own}.String()
}

func (c Converter) fix(f diagnose.Fix) Fix {
	return Fix{For: show.Each(f.For, c.Candidate), Do: c.Fix(f), Cost: f.Cost, Gains: show.Each(f.Gains, c.gain), Hint: finding.Hint(f.Hint, f.Small), Else: finding.Else(f)}
}

func (c Converter) gain(g diagnose.Gain) Gain {
	return Gain{Port: g.Port, Open: g.Open.String(), Before: show.Value(g.Before, units.Flow, c.U),
		After: show.IntervalOf(g.After, units.Flow, c.U), Need: show.Value(g.Need, units.Flow, c.U)}
}

// fanEnds converts the ends of a fan's curve; nil if there are none to be told.
func fanEnds(f *diagnose.FanEnds, u units.System) *FanEnds {
	if f == nil {
		return nil
	}
	air, suction := show.IntervalOf(f.MostAir, units.Flow, u), show.IntervalOf(f.MostSuction, units.Pressure, u)
	if air == nil || suction == nil {
		return nil
	}
	return &FanEnds{*air, *suction}
}

// SaysLittle is whether what a sound system shows is so wide, since the file has no
// curve of the fan, that hardly any reading lies outside: from a quarter of the value, or
// less, on. Own choice. What a gauge hardly shows is no matter of the fan.
func SaysLittle(sys *duct.System, q units.Quantity, iv fault.Interval) bool {
	return q != units.PressureDrop && (iv.Low >= 0 || iv.High <= 0) && sys.Collector.FanKnown() != duct.ByCurve && min(math.Abs(iv.Low), math.Abs(iv.High)) <= 0.25*math.Abs(iv.Value)
}

// doubts are what weakens a result, in words, apart from what the summary says.
func doubts(d *diagnose.Result) []string {
	out := []string{}
	for _, x := range d.Doubts {
		switch {
		case d.Verdict == diagnose.Unclear && x == d.Instead:
		case x.Kind == fault.FragileAnswer:
			out = append(out, show.FragileWords(d.Fragile))
		default:
			out = append(out, show.DoubtWords(x))
		}
	}
	return out
}
