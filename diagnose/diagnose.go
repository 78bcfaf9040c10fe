// Package diagnose goes from a system and a survey to a verdict: which faults
// the readings speak for, how sure that is, what to do and what to read next.
//
// The way of a diagnosis:
//
//  1. observe: the survey's ids are found in the system.
//  2. asbuilt: the built system differs from its page in losses, friction,
//     leakage, fan and filter; each difference is a parameter with a prior.
//     Instruments and taps have theirs.
//  3. search: baselines (earlier sound surveys) update those parameters; then
//     hypotheses, which are sets of faults and of wrong rows, are grown from the
//     sound system and fitted (fit), each with its evidence.
//  4. doubt: what may be wrong with the data and not with the system.
//  5. weigh: evidences times priors, normalised over all hypotheses and
//     "something that is not on the list"; faults that the readings can't tell
//     apart stand together.
//  6. here: flows, severities with intervals, fixes, the Result.
//  7. next: what to read or look at next.
//
// The first five are packages under internal. Kinds of fault and their places
// are in package fault.
package diagnose

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sort"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/doubt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/weigh"
	"lostair/diagnose/next"
	"lostair/diagnose/plan"
	"lostair/readings"
	"lostair/readings/problem"
)

// Options steer a diagnosis. The zero Options is the usual one.
type Options struct {
	Baselines []*readings.Survey // earlier surveys of the same system when it was known to be sound
	Job       fault.Job          // why the system is read
	Steps     func(done, of int) // called as the work goes on, for a progress line; may be nil
}

// Diagnose finds what is wrong with sys given a survey. An error is a
// problem.List if the survey does not fit the system. If ctx ends first, what was
// known by then comes with its error: an unfinished Result, which asserts nothing.
func Diagnose(ctx context.Context, sys *duct.System, survey *readings.Survey, opt Options) (*Result, error) {
	s, err := Stand(ctx, sys, survey, opt)
	if s == nil {
		return nil, err
	}
	return s.Result, err
}

// Stand is Diagnose for who goes on reading.
func Stand(ctx context.Context, sys *duct.System, survey *readings.Survey, opt Options) (*Standing, error) {
	written := sys
	sys, bores := observe.AsMeasured(closedRoom(sys, survey), append(slices.Clone(opt.Baselines), survey)...)
	m, err := airflow.New(sys, airflow.Options{})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", sys.File, err)
	}
	b, bad := observe.Bind(m, survey)
	baselines, asked := observe.Earlier(opt.Baselines, survey)
	var bases []*observe.Bound
	for _, s := range baselines {
		x, more := doubt.BindTrusted(m, s)
		bases, bad = append(bases, x), append(bad, more...)
	}
	if err := bad.Err(); err != nil {
		return nil, err
	}
	if len(b.Observation) == 0 {
		return nil, problem.List{{File: survey.File, What: "there are no readings", Do: "take some; lostair plan says which show most"}}
	}
	x, err := Examine(ctx, m, b, bases, opt.Job, onward(opt.Steps))
	if ctx.Err() != nil {
		return &Standing{Result: Unfinished(x, sys, survey, baselines)}, ctx.Err()
	}
	if err != nil {
		return nil, err
	}
	x.P.Asked = asked
	r := ResultOf(x.P, sys, survey, baselines)
	r.Page = append(append(copiedBaselines(opt.Baselines, survey), Measured(written, bores)...), r.Page...)
	if len(bores) > 0 {
		r.Mistaken = max(r.Mistaken, BoreSure)
	}
	if r.Verdict == Clear {
		r.Shows, err = hiding(ctx, plan.PlannerOf(m, x.known.U, x.known.L, x.known.Shared), b, r.Checks, x.P.G)
	}
	if ctx.Err() != nil {
		return &Standing{Result: Unfinished(x, sys, survey, baselines)}, ctx.Err()
	}
	if err != nil {
		return nil, err
	}
	return &Standing{Result: r, p: x.P}, nil
}

// onward passes progress on that never goes back: a search may begin anew.
func onward(steps func(done, of int)) func(done, of int) {
	if steps == nil {
		return nil
	}
	most := 0.0
	return func(done, of int) {
		if share := float64(done) / float64(max(of, 1)); share >= most {
			most = share
			steps(done, of)
		}
	}
}

// copiedBaselines are the baselines that are the survey itself.
func copiedBaselines(baselines []*readings.Survey, survey *readings.Survey) []fault.Written {
	var out []fault.Written
	for _, b := range baselines {
		if observe.Copied(b, survey) {
			out = append(out, fault.Written{Kind: fault.WrongBaseline, Where: b.File, Probability: CopiedSure, Together: CopiedSure, Reason: "same"})
		}
	}
	return out
}

// CopiedSure is how sure it is that a baseline is the survey itself which holds
// all its values: instruments don't show the same twice. Common practice, no source.
const CopiedSure = 0.99

// ResultOf says what a posterior comes to for those who asked: the faults that are
// likelier than not, what to do, and what to read next. All SI.
func ResultOf(p *weigh.Posterior, sys *duct.System, survey *readings.Survey, baselines []*readings.Survey) *Result {
	r := &Result{System: sys, Survey: survey, Baselines: baselines, Sound: numeric.ClampProbability(p.Sound()), Unlisted: numeric.ClampProbability(p.Unlisted)}
	for _, i := range p.Order() {
		if p.Site[i] >= 0.001 {
			r.Candidates = append(r.Candidates, Candidate(p, i))
		}
	}
	for _, g := range p.Groups() {
		f := Fault{Candidate: Candidate(p, g.Head), Together: g.Together}
		for _, x := range g.Members[1:] {
			f.Alike = append(f.Alike, Candidate(p, x))
		}
		f.Severity, f.Dimension = p.SeverityOf(g.Head), f.Kind.Dimension()
		r.Groups = append(r.Groups, Group{Members: append([]fault.Candidate{f.Candidate}, f.Alike...), Together: g.Together})
		if g.Together >= 0.5 {
			f.Evidence = evidence(p, g)
			r.Faults = append(r.Faults, f)
		}
	}
	addUndersized(p, r)
	addWrongRows(p, r)
	sortFaults(r)
	r.Broken = numeric.ClampProbability(p.Broken())
	r.Mistaken = numeric.ClampProbability(p.Mistaken())
	r.Verdict = VerdictOf(r)
	r.Ports = asRead(p, portFlows(p), survey)
	r.Fitted = fitted(p)
	r.Checks = asWritten(p.Lead, checks(p), p.AsBound())
	r.TooSmall = tooSmall(p, r)
	addFixes(p, r)
	r.Page = p.Page()
	first, together := asserted(r)
	r.Next, r.Enough = next.Rank(p, first, together, r.Page)
	r.Fan = fanEnds(p)
	r.Instead = p.Instead()
	r.Fragile = fragile(p, r)
	r.Doubts = doubts(p, r)
	return r
}

func addUndersized(p *weigh.Posterior, r *Result) {
	for _, x := range p.Undersized() {
		d := &r.System.Ducts[x.Duct]
		// Of a system that is not as given nothing is known.
		c := fault.Candidate{Kind: fault.Undersized, Where: d.ID, Probability: numeric.ClampProbability(x.Probability * (1 - p.Unlisted))}
		r.Candidates = append(r.Candidates, c)
		if c.Probability >= 0.5 {
			r.Faults = append(r.Faults, Fault{Candidate: c, Together: c.Probability, Severity: x.Diameter,
				Dimension: fault.Undersized.Dimension(), Port: r.System.Ports[x.Port].ID})
		}
	}
}

func addWrongRows(p *weigh.Posterior, r *Result) {
	s := p.G.S
	var ids []int
	for i := range p.Row {
		ids = append(ids, i)
	}
	sort.Ints(ids)
	for _, i := range ids {
		pr := p.Row[i]
		if pr < 0.001 {
			continue
		}
		row := &s.B.Survey.Rows[s.Observation[i].Rows[0]]
		c := fault.Candidate{Kind: fault.ReadingWrong, Where: fmt.Sprintf("row %d", row.Line), Probability: numeric.ClampProbability(pr)}
		r.Candidates = append(r.Candidates, c)
		if pr >= 0.5 {
			sev, slip := wouldFit(p, i)
			r.Faults = append(r.Faults, Fault{Candidate: c, Together: c.Probability, Severity: sev,
				Dimension: row.Quantity.Dimension(), Row: row, Slip: slip})
		}
	}
}

// wouldFit is the value that would fit in place of a wrong row: what the
// system should have shown there, by the likeliest set that calls the row wrong.
func wouldFit(p *weigh.Posterior, i int) (fault.Interval, fault.Slip) {
	s := p.G.S
	for _, f := range p.Sets {
		for _, w := range f.Rows {
			if w.Observation != i {
				continue
			}
			clean := fit.Hypothesis{Faults: f.Faults}
			h := make([]float64, len(s.Observation))
			if s.Predict(f.At, clean, h) != nil {
				return fault.Interval{}, w.Reason
			}
			v, sd := s.Would(f, i, h[i])
			if !w.Drop && w.Cfg < 0 {
				v = w.Y
				sd = math.Max(sd, math.Abs(h[i]-w.Y))
			}
			return fault.Interval{Value: v, Low: v - 1.645*sd, High: v + 1.645*sd}, w.Reason
		}
	}
	return fault.Interval{}, fault.Slip{}
}

// sortFaults puts the likeliest first. Of those that are equal as they are written down,
// what is broken stays before what is too small and what was misread.
func sortFaults(r *Result) {
	written := func(c fault.Candidate) float64 { return math.Round(1e4 * c.Probability) }
	sort.SliceStable(r.Candidates, func(i, j int) bool { return written(r.Candidates[i]) > written(r.Candidates[j]) })
	sort.SliceStable(r.Faults, func(i, j int) bool { return written(r.Faults[i].Candidate) > written(r.Faults[j].Candidate) })
}

// asserted is the fault of the system that is asserted first, with the chance of all
// that looks like it; nil: none is.
func asserted(r *Result) (*fault.Candidate, float64) {
	for i := range r.Faults {
		if f := &r.Faults[i]; OfSystem(*f) {
			return &f.Candidate, f.Together
		}
	}
	return nil, 0
}

// VerdictOf is the answer in a word: a fault of the system before what was written wrong.
func VerdictOf(r *Result) Verdict {
	if slices.ContainsFunc(r.Faults, OfSystem) {
		return Faults
	}
	if r.Broken >= 0.5 {
		return Unclear
	}
	if len(r.Faults) > 0 {
		return Faults
	}
	return Clear
}
