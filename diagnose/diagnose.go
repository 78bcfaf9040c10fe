// Package diagnose goes from a system and a survey to a verdict: which faults
// the readings speak for, how sure that is, what to do and what to read next.
//
// The way of a diagnosis:
//
//  1. bind: the survey's ids are found in the system (bind.go).
//  2. unknowns: the as-built system differs from its page in losses, friction,
//     leakage, fan and filter; each difference is a parameter with a prior
//     (unknowns.go, priors.go). Instruments and taps have theirs.
//  3. baselines: an earlier sound survey updates those parameters (baseline.go).
//  4. search: hypotheses (sets of faults and of wrong rows) are grown from the
//     sound one, screened by linear algebra and fitted by Gauss–Newton on the
//     nonlinear model; each fit gives its evidence (screen.go, search.go, fit.go).
//     What comes near the best is fitted to the survey and the last baseline at
//     once (jointly.go), and weighed under several spreads (spreadscale.go).
//  5. posterior: evidences times priors, normalised over all hypotheses and
//     "something that is not on the list" (posterior.go).
//  6. groups: faults that the readings can't tell apart stand together (alike.go).
//  7. flows, severities with intervals, undersized drops, next readings, fixes.
package diagnose

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sort"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/readings"
	"lostair/readings/problem"
)

// Options steer a diagnosis. The zero Options is the usual one.
type Options struct {
	Baselines []*readings.Survey // earlier surveys of the same system when it was known to be sound
	Steps     func(done, of int) // called as the work goes on, for a progress line; may be nil
}

// Diagnose finds what is wrong with sys given a survey. An error is a
// problem.List if the survey does not fit the system.
func Diagnose(ctx context.Context, sys *duct.System, survey *readings.Survey, opt Options) (*Result, error) {
	m, err := airflow.New(sys, airflow.Options{})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", sys.File, err)
	}
	b, bad := bind(m, survey)
	baselines, asked := earlier(opt.Baselines, survey)
	var bases []*bound
	for _, s := range baselines {
		x, more := bindTrusted(m, s)
		bases, bad = append(bases, x), append(bad, more...)
	}
	if err := bad.Err(); err != nil {
		return nil, err
	}
	if len(b.obs) == 0 {
		return nil, problem.List{{File: survey.File, What: "there are no readings", Do: "take some; lostair plan says which tell most"}}
	}
	x, err := examine(ctx, m, b, bases, opt.Steps)
	if err != nil {
		return nil, err
	}
	x.p.asked = asked
	r := x.p.result(sys, survey, baselines)
	if r.Verdict == Clear {
		if r.Shows, err = hiding(ctx, plannerOf(m, x.u, x.l, x.shared), b, r.Checks); err != nil {
			return nil, err
		}
	}
	return r, nil
}

// examined is what a survey has taught.
type examined struct {
	u      *unknowns
	l      layout
	shared prior // by the baselines
	p      *posterior
}

// examine learns from the baselines, oldest first, and searches what the survey
// says beside them: a large one first by those of its readings that tell most.
func examine(ctx context.Context, m *airflow.Model, all *bound, bases []*bound, steps func(done, of int)) (*examined, error) {
	u := newUnknowns(m)
	l := newLayout(u, append([]*bound{all}, bases...)...)
	before, err := learnAll(ctx, m, u, l, bases[:max(len(bases)-1, 0)])
	if err != nil {
		return nil, err
	}
	shared, last := before, (*lesson)(nil)
	if len(bases) > 0 {
		if shared, last, err = learnFrom(ctx, m, u, l, bases[len(bases)-1], before); err != nil {
			return nil, err
		}
	}
	ss := sites(m)
	b, use := thinned(m, u, l, all, shared, ss)
	s := newStudy(m, u, l, b, shared)
	if use != nil {
		s.reduce(use)
	}
	var j *joint
	if b.kept == nil {
		j = newJoint(m, u, l, b, last, before)
	}
	g, err := s.searchAll(ctx, ss, j, steps)
	if err != nil {
		return nil, fmt.Errorf("the model could not be solved: %w", err)
	}
	x := &given{m, u, l, b, bases}
	other := g.misgivens(x)
	p := posteriorOf(g, total(other)-math.Log(unlistedPrior))
	p.whole = wholeOf(x, all, shared, use, s.kappa)
	p.given = other
	p.setRowsAside()
	return &examined{u, l, shared, p}, nil
}

// unlistedSpread is how many times the usual spread and errors are allowed to
// something that is not on the list. Common practice, no source.
const unlistedSpread = 3.0

// unlistedEvidence is the evidence of something that is not on the list: the
// sound system, with as-built spread and fresh errors several times the usual.
func (s *study) unlistedEvidence(sound *fitted) float64 {
	kappa, rough := s.kappa, s.rough
	s.kappa, s.rough = unlistedSpread*kappa, unlistedSpread*rough
	defer func() { s.kappa, s.rough = kappa, rough }()
	f := s.fit(hypothesis{}, sound.at)
	if !f.ok {
		return math.Inf(-1)
	}
	return f.evidence
}

func (p *posterior) result(sys *duct.System, survey *readings.Survey, baselines []*readings.Survey) *Result {
	r := &Result{System: sys, Survey: survey, Baselines: baselines, Sound: clampP(p.sound()), Unlisted: clampP(p.unlisted)}
	for _, i := range p.order() {
		if p.site[i] >= 0.001 {
			r.Candidates = append(r.Candidates, p.candidate(i))
		}
	}
	for _, g := range p.groups() {
		f := Fault{Candidate: p.candidate(g.head), Together: g.together}
		for _, x := range g.members[1:] {
			f.Alike = append(f.Alike, p.candidate(x))
		}
		f.Severity, f.Dimension = p.severityOf(g.head), f.Kind.Dimension()
		r.Groups = append(r.Groups, Group{Members: append([]Candidate{f.Candidate}, f.Alike...), Together: g.together})
		if g.together >= 0.5 {
			f.Zone = zone(p.g.s.m, p.g.sites, g.members)
			f.Evidence = p.evidence(g)
			r.Faults = append(r.Faults, f)
		}
	}
	p.addUndersized(r)
	p.addWrongRows(r)
	sortFaults(r)
	r.Verdict = verdict(r)
	r.Ports = p.portFlows()
	r.Checks = p.checks()
	p.addFixes(r)
	r.Next = p.next(r)
	r.Instead = p.instead()
	r.Doubts = p.doubts(r)
	return r
}

func (p *posterior) candidate(i int) Candidate {
	s := p.g.sites[i]
	return Candidate{Kind: s.kind, Where: s.where, Probability: clampP(p.site[i])}
}

func (p *posterior) addUndersized(r *Result) {
	for _, x := range p.undersized() {
		d := &r.System.Ducts[x.duct]
		// Of a system that is not as given nothing is known.
		c := Candidate{Undersized, d.ID, clampP(x.probability * (1 - p.unlisted))}
		r.Candidates = append(r.Candidates, c)
		if c.Probability >= 0.5 {
			r.Faults = append(r.Faults, Fault{Candidate: c, Together: c.Probability, Severity: x.diameter,
				Dimension: Undersized.Dimension(), Why: r.System.Ports[x.port].ID})
		}
	}
}

func (p *posterior) addWrongRows(r *Result) {
	s := p.g.s
	var ids []int
	for i := range p.row {
		ids = append(ids, i)
	}
	sort.Ints(ids)
	for _, i := range ids {
		pr := p.row[i]
		if pr < 0.001 {
			continue
		}
		row := &s.b.survey.Rows[s.obs[i].rows[0]]
		c := Candidate{ReadingWrong, fmt.Sprintf("row %d", row.Line), clampP(pr)}
		r.Candidates = append(r.Candidates, c)
		if pr >= 0.5 {
			sev, why := p.wouldFit(i)
			r.Faults = append(r.Faults, Fault{Candidate: c, Together: c.Probability, Severity: sev,
				Dimension: row.Quantity.Dimension(), Row: row, Why: why})
		}
	}
}

// wouldFit is the value that would fit in place of a wrong row: what the
// system should have shown there, by the likeliest set that calls the row wrong.
func (p *posterior) wouldFit(i int) (Interval, string) {
	s := p.g.s
	for _, f := range p.sets {
		for _, w := range f.rows {
			if w.obs != i {
				continue
			}
			clean := hypothesis{faults: f.faults}
			h := make([]float64, len(s.obs))
			if s.predict(f.at, clean, h) != nil {
				return Interval{}, w.reason
			}
			v, sd := h[i], s.wouldSD(f, i, h[i])
			if !w.drop && w.cfg < 0 {
				v = w.y
				sd = math.Max(sd, math.Abs(h[i]-w.y))
			}
			return Interval{v, v - 1.645*sd, v + 1.645*sd}, w.reason
		}
	}
	return Interval{}, ""
}

// readingSD is the standard deviation of what an observation should show.
func (s *study) readingSD(f *fitted, i int) float64 {
	return s.shownSD(f, i, f.fit.row(i, s.n), s.obs[i].fresh)
}

// wouldSD is that of what a wrong row should have shown, about y: its
// instrument errs as at y, not as at the value written.
func (s *study) wouldSD(f *fitted, i int, y float64) float64 {
	o := &s.obs[i]
	right := o.valued(y, s.b.survey.Readings[o.reading].Quantity, s.m.Air.Density)
	row := slices.Clone(f.fit.row(i, s.n))
	row[o.gainIx] = right.gain
	return s.shownSD(f, i, row, right.fresh*s.rough)
}

func (s *study) shownSD(f *fitted, i int, row []float64, fresh float64) float64 {
	gz := make([]float64, len(f.faults))
	for k := range gz {
		gz[k] = f.fit.jz.At(i, k)
	}
	return math.Hypot(math.Sqrt(s.variance(f, row, gz)), fresh)
}

func sortFaults(r *Result) {
	sort.SliceStable(r.Candidates, func(i, j int) bool { return r.Candidates[i].Probability > r.Candidates[j].Probability })
	sort.SliceStable(r.Faults, func(i, j int) bool { return r.Faults[i].Probability > r.Faults[j].Probability })
}

// ofSystem says that a fault is one to look for in the shop.
func ofSystem(f Fault) bool { return f.Kind != Undersized && f.Kind != ReadingWrong }

func verdict(r *Result) Verdict {
	if slices.ContainsFunc(r.Faults, ofSystem) {
		return Faults
	}
	if r.Sound < 0.5 {
		return Unclear
	}
	if len(r.Faults) > 0 {
		return Faults
	}
	return Clear
}

// soundAt is what the sound system is taken for: as the readings have corrected
// it or, where they most likely aren't what they say they are, as it was before.
func (p *posterior) soundAt(s *study) point {
	if p.unlisted > 0.5 {
		return s.before()
	}
	return point{theta: p.sets[0].at.theta}
}

// checks compares each observation with what a sound system would give.
func (p *posterior) checks() []Check {
	if p.whole != nil {
		return p.whole.checks(p)
	}
	s := p.g.s
	f := p.sets[0]
	m := len(s.obs)
	sound, with := make([]float64, m), append([]float64(nil), f.fit.h...)
	if s.predict(p.soundAt(s), hypothesis{}, sound) != nil {
		return nil
	}
	out := make([]Check, m)
	for i, o := range s.obs {
		rd := s.b.survey.Readings[o.reading]
		rd.Rows = o.rows
		out[i] = Check{Reading: rd, Measured: o.y, Expected: sound[i], Fitted: with[i], Sigma: s.readingSD(p.g.sound, i), Wrong: p.row[i] >= 0.5}
	}
	return out
}
