package track

import (
	"fmt"
	"sort"
	"time"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/doubt"
	"lostair/diagnose/internal/observe"
	"lostair/readings"
	"lostair/readings/problem"
	"lostair/readings/repairs"
)

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

// chooseReference chooses the first surveys, by date, to stand for the sound system. One
// that was begun since something was wrong does so only if it is asked for: held against
// it, the survey after the repair had a port at 142 % and a leak of less than nothing.
// Such surveys before all others are left out.
func chooseReference(list []Survey, opt Options) ([]Survey, []fault.Doubt, problem.List) {
	var said []fault.Doubt
	doubt := func(k fault.DoubtKind, s *readings.Survey) {
		said = append(said, fault.Doubt{Kind: k, File: s.File, Other: s.Complaint})
	}
	if opt.Reference > 0 {
		for i := range list[:min(opt.Reference, len(list))] {
			if list[i].Reference = true; list[i].Survey.Weak() {
				doubt(fault.WeakReference, list[i].Survey)
			}
		}
		return list, said, nil
	}
	first := list[0].Survey
	weak := 0
	for weak < len(list) && list[weak].Survey.Weak() {
		doubt(fault.WeakLeftOut, list[weak].Survey)
		weak++
	}
	list = list[weak:]
	n := min(max(len(list)/4, 1), mostReference)
	ref := 0
	for ref < min(n, len(list)) && !list[ref].Survey.Weak() {
		list[ref].Reference = true
		ref++
	}
	if weak > 0 && ref == len(list) {
		return nil, nil, problem.List{{File: first.File, What: fmt.Sprintf("it was begun with a complaint (%s), so it can't stand for the sound system, and no survey before it does", first.Complaint),
			Do: "give a survey of the sound system with --baseline; to see what a repair brought, compare the two surveys with --before and --after"}}
	}
	if r := repairAfter(list, ref-1, opt.Repairs); r != nil {
		said = append(said, fault.Doubt{Kind: fault.MendedReference, File: list[ref-1].Survey.File, Other: r.Date.Format(time.DateOnly)})
	}
	return list, said, nil
}

// mostReference is how many surveys make a good reference.
const mostReference = 8

// repairAfter is a repair logged between a survey and the next; nil: none.
func repairAfter(list []Survey, i int, log []repairs.Repair) *repairs.Repair {
	for k := range log {
		d := log[k].Date
		before := d.After(list[i].Date) || d.Equal(list[i].Date) && !list[i].mended()
		if before && i+1 < len(list) && !d.After(list[i+1].Date) {
			return &log[k]
		}
	}
	return nil
}

// mended is whether the survey was made after a repair.
func (s *Survey) mended() bool { return s.Survey.Complaint == readings.ForRepair }
