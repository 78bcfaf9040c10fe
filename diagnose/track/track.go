package track

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sort"
	"time"

	"lostair/diagnose"
	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/doubt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/search"
	"lostair/diagnose/internal/weigh"
	"lostair/readings"
	"lostair/readings/problem"
	"lostair/readings/units"
)

// Options steer the tracking of a system. The zero Options is the usual one.
type Options struct {
	Baselines []*readings.Survey // surveys of the sound system; none: the first ones of the history are taken as sound
	Reference int                // how many of the first surveys are taken as sound, if there are no Baselines; 0: a quarter of them, 1 to 8
	Repairs   []readings.Repair  // the log of repairs, if there is one
	Full      int                // how many of the newest surveys are diagnosed in full, beside those in which something new was first seen; 0: one; negative: none at all
}

// History is a system over its surveys. All values are SI.
type History struct {
	System   *duct.System
	Surveys  []Survey  // by date
	Series   []Series  // ports, then filter and fan, then leaks and what stands in the way
	Signals  []Signal  // what has moved, first seen first
	Episodes []Episode // what broke and what was mended, oldest first
	PerYear  float64   // surveys a year
	Doubts   []fault.Doubt

	Unfinished bool // the work was stopped before its end: no episodes, and no survey diagnosed in full
}

// Survey is one survey of the history.
type Survey struct {
	Survey    *readings.Survey
	Date      time.Time
	Reference bool             // taken as sound
	Wrong     []WrongRow       // rows set aside
	Misfit    float64          // how far what is left lies off the fit, per reading; about 1 or less
	Result    *diagnose.Result // the full diagnosis against the reference; nil: not asked for
}

// WrongRow is a row that fits nothing else that was read.
type WrongRow struct {
	Row    *readings.Row
	Fits   float64 // value that would fit
	Reason fault.Slip
}

// Gauge is what a series follows.
type Gauge uint8

const (
	FlowShare  Gauge = iota // flow of a port with its own gates open, as share of that in the reference
	FilterDrop              // drop of the filter at the same flow, as a multiple of that in the reference
	FanSpeed                // speed of the fan as share of that in the reference
	LeakArea                // open area beyond that in the reference, m²
	InTheWay                // loss added at a port's hood, hose or gate, in velocity pressures of its duct
)

var gauges = [...]struct {
	name string
	dim  units.Dimension
	one  bool // a ratio, worked with as its logarithm
}{
	FlowShare:  {"port-flow", units.Share, true},
	FilterDrop: {"filter-drop", units.Multiple, true},
	FanSpeed:   {"fan-speed", units.Share, true},
	LeakArea:   {"leak-area", units.Area, false},
	InTheWay:   {"in-the-way", units.Number, false},
}

// String is the gauge's name in the outputs.
func (g Gauge) String() string { return gauges[g].name }

// Dimension is that of the gauge's values.
func (g Gauge) Dimension() units.Dimension { return gauges[g].dim }

// value turns what is charted into a value.
func (g Gauge) value(x float64) float64 {
	switch {
	case g == FilterDrop:
		r := math.Max(1+x/2, 0)
		return r * r
	case gauges[g].one:
		return math.Exp(x)
	}
	return x
}

// charted is the inverse of value.
func (g Gauge) charted(v float64) float64 {
	switch {
	case g == FilterDrop:
		return 2*math.Sqrt(math.Max(v, 0)) - 2
	case gauges[g].one:
		return math.Log(math.Max(v, 1e-9))
	}
	return v
}

// Series is one indicator over the surveys.
type Series struct {
	Gauge  Gauge
	Where  string   // port, "filter", "fan", "bin", or the ids of a zone's ducts joined with ", "
	Ducts  []string // of a zone
	Points []Point  // one a survey
	Signal int      // index into Signals, or -1
	Sound  float64  // of a port: its flow in the reference, m³/s
	Need   float64  // of a port, m³/s; 0: none stated
}

// Point is an indicator as one survey shows it.
type Point struct {
	Known        bool // the survey says something of it
	Value        fault.Interval
	Average      float64 // weighted moving average (EWMA)
	Lower, Upper float64 // its control limits
	Charted      bool    // Average and limits hold
}

// Signal is an indicator that has left its control limits.
type Signal struct {
	Series int
	Survey int    // in which it was first seen
	Chart  string // "EWMA" or "CUSUM"
	Up     bool   // the indicator rose
	Alike  []int  // series that explain the readings about as well
	Jumps  []Jump // later steps, such as repairs
	Over   bool   // back within the limits

	Jumped bool   // it came at once; else it grew
	Began  [3]int // survey with which it began: likeliest, earliest, latest (90 %)
	Now    fault.Interval
	Rate   fault.Interval // change a week, of a ratio as a factor
	Limits []Reach
}

// Jump is a step of an indicator between two surveys.
type Jump struct {
	Survey   int // first one after it
	From, To float64
}

// Reach says when an indicator will cross a limit at the present rate.
type Reach struct {
	Limit float64
	Port  string         // which then gets too little
	What  string         // "need" or "half"
	Days  fault.Interval // after the last survey; High of 3652 or more: perhaps never
	Sure  bool           // it is likelier than not to cross
}

// Follow follows a system over its surveys: each is fitted against what the
// reference surveys have taught, and what moves is put on control charts. A
// survey without a date is an error. If ctx ends when the charts are made, they come
// with its error.
func Follow(ctx context.Context, sys *duct.System, surveys []*readings.Survey, opt Options) (*History, error) {
	sys, bores := observe.AsMeasured(sys, append(slices.Clone(opt.Baselines), surveys...)...)
	m, err := airflow.New(sys, airflow.Options{})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", sys.File, err)
	}
	surveys, empty, err := Holding(surveys)
	if err != nil {
		return nil, err
	}
	surveys, twice := observe.OnlyOnce(opt.Baselines, surveys)
	list, bounds, weak, err := inOrder(m, surveys, opt)
	if err != nil {
		return nil, err
	}
	tr := &History{System: sys, Surveys: list, PerYear: perYear(list[min(len(opt.Baselines), len(list)):])}
	ref := 0
	for ref < len(list) && list[ref].Reference {
		ref++
	}
	t, err := newTracker(ctx, m, bounds[:ref], bounds)
	if err != nil {
		return nil, err
	}
	gs, err := t.fitAll(ctx, bounds)
	if err != nil {
		return nil, err
	}
	for i, g := range gs {
		tr.Surveys[i].Misfit = g.misfit
		tr.Surveys[i].Wrong = g.wrongRows()
	}
	(&tracking{t: t, out: tr, gs: gs, ref: ref}).run()
	if tr.Episodes, err = t.episodes(ctx, tr, bounds, gs, ref, opt.Repairs); err == nil {
		err = t.inFull(ctx, tr, bounds, opt.Full)
	}
	tr.Doubts = slices.Concat(empty, twice, weak, observe.BoreDoubts(sys, bores), trackDoubts(tr, ref))
	if ctx.Err() != nil {
		tr.Unfinished = true
		return tr, ctx.Err()
	}
	if err != nil {
		return nil, err
	}
	return tr, nil
}

// Holding leaves out surveys in which nothing was read, and says so; the error is
// that none is left.
func Holding(surveys []*readings.Survey) (some []*readings.Survey, said []fault.Doubt, err error) {
	var empty problem.List
	for _, s := range surveys {
		if r := observe.AllZero(s); r != nil {
			said = append(said, fault.Doubt{Kind: fault.SurveyZero, File: s.File})
			empty = append(empty, problem.Problem{File: s.File, Line: r.Line, Column: r.Columns.Value, What: "every value is zero, so the readings hold nothing",
				Do: "check that the fan ran, the taps were open into the duct, and the instruments were connected"})
			continue
		}
		some = append(some, s)
	}
	if len(some) == 0 {
		err = empty.Err()
	}
	return some, said, err
}

// inOrder sorts the surveys by date, the baselines before all, chooses those that stand
// for the sound system, and binds them.
func inOrder(m *airflow.Model, surveys []*readings.Survey, opt Options) ([]Survey, []*observe.Bound, []fault.Doubt, error) {
	var list []Survey
	var bad problem.List
	for k, s := range append(append([]*readings.Survey(nil), opt.Baselines...), surveys...) {
		d, ok := readings.DateOf(s)
		if !ok {
			bad = append(bad, problem.Problem{File: s.File, What: "this survey has no date",
				Do: "fill in the column date, or begin the file's name with the date, such as 2026-03-02.csv"})
		}
		list = append(list, Survey{Survey: s, Date: d, Reference: k < len(opt.Baselines)})
	}
	sort.SliceStable(list, func(a, b int) bool {
		x, y := &list[a], &list[b]
		if x.Reference != y.Reference {
			return x.Reference
		}
		if !x.Date.Equal(y.Date) {
			return x.Date.Before(y.Date)
		}
		if x.mended() != y.mended() {
			return y.mended()
		}
		return x.Survey.File < y.Survey.File
	})
	if len(list) == 0 {
		return nil, nil, nil, problem.List{{What: "there are no surveys", Do: "name at least one readings file"}}
	}
	var said []fault.Doubt
	if len(opt.Baselines) == 0 && len(bad) == 0 {
		list, said, bad = chooseReference(list, opt)
	}
	var bounds []*observe.Bound
	for i := range list {
		b, more := doubt.BindTrusted(m, list[i].Survey)
		if len(more) == 0 && len(b.Observation) == 0 {
			more = problem.List{{File: list[i].Survey.File, What: "there is no reading in it", Do: "fill it in, or leave it out"}}
		}
		bad, bounds = append(bad, more...), append(bounds, b)
	}
	if err := bad.Err(); err != nil {
		return nil, nil, nil, err
	}
	return list, bounds, said, nil
}

// mostReference is how many surveys make a good reference.
const mostReference = 8

// perYear is how often a year the system is surveyed, 1 to 366.
func perYear(list []Survey) float64 {
	n := len(list)
	if n < 2 {
		return 1
	}
	days := list[n-1].Date.Sub(list[0].Date).Hours() / 24
	if days <= 0 {
		return float64(n)
	}
	return min(max(float64(n-1)*365.25/days, 1), 366)
}

// shortHistory is how many surveys after the reference a slow drift takes to be
// seen, about. Common practice, no source.
const shortHistory = 6

// trackDoubts says what weakens the result.
func trackDoubts(t *History, ref int) []fault.Doubt {
	var out []fault.Doubt
	after := len(t.Surveys) - ref
	if after > 0 && after < shortHistory {
		out = append(out, fault.Doubt{Kind: fault.ShortHistory, Count: after})
	}
	if after > 0 && ref < 3 { // that there is nothing to compare is the summary itself
		out = append(out, fault.Doubt{Kind: fault.FewReference, Count: ref})
	}
	misfit := fault.Doubt{Kind: fault.SurveysMisfit}
	for _, s := range t.Surveys[ref:] {
		if s.Misfit > 3 {
			if misfit.Count++; misfit.Count == 1 {
				misfit.File = s.Survey.File
			}
		}
	}
	if misfit.Count > 0 {
		out = append(out, misfit)
	}
	return out
}

func (g *indicatorFit) wrongRows() []WrongRow {
	var out []WrongRow
	for _, w := range g.wrong {
		x := WrongRow{Row: &g.b.Survey.Rows[g.b.Observation[w.Observation].Rows[0]], Fits: w.fits, Reason: w.reason}
		if x.Reason.Kind == fault.NoSlip {
			x.Reason.Kind = fault.SlipUnknown
		}
		out = append(out, x)
	}
	slices.SortStableFunc(out, func(a, b WrongRow) int { return a.Row.Line - b.Row.Line })
	return out
}

// mostOnsets is how many surveys in which something was first seen are diagnosed in full.
const mostOnsets = 4

// worthFull are the surveys to be diagnosed in full: the n newest, and those in
// which something other than a flow was first seen, which say what it is while
// it is still alone.
func (tr *History) worthFull(n int) []int {
	if n < 0 {
		return nil
	}
	if n == 0 {
		n = 1
	}
	var out []int
	for _, x := range tr.Signals {
		if tr.Series[x.Series].Gauge != FlowShare && len(out) < mostOnsets && !slices.Contains(out, x.Survey) {
			out = append(out, x.Survey)
		}
	}
	for i := max(len(tr.Surveys)-n, 0); i < len(tr.Surveys); i++ {
		if !slices.Contains(out, i) {
			out = append(out, i)
		}
	}
	slices.Sort(out)
	return out
}

// inFull diagnoses surveys against the reference.
func (t *tracker) inFull(ctx context.Context, tr *History, bounds []*observe.Bound, n int) error {
	for _, i := range tr.worthFull(n) {
		if tr.Surveys[i].Reference {
			continue
		}
		s := fit.NewStudy(t.m, t.u, t.l, bounds[i], t.shared)
		g, err := search.SearchAll(s, ctx, observe.Seen(fault.Sites(t.m), bounds[i].Looks), nil, nil)
		if err != nil {
			return fmt.Errorf("%s: the model could not be solved: %w", tr.Surveys[i].Survey.File, err)
		}
		var base []*readings.Survey
		for _, x := range tr.Surveys {
			if x.Reference {
				base = append(base, x.Survey)
			}
		}
		tr.Surveys[i].Result = diagnose.ResultOf(weigh.PosteriorOf(g, doubt.UnlistedEvidence(s, g.Sound)), tr.System, tr.Surveys[i].Survey, base)
	}
	return nil
}
