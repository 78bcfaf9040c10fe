package track

import (
	"fmt"
	"time"

	"lostair/diagnose/fault"
	"lostair/readings"
	"lostair/readings/problem"
)

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

// repairAfter is a repair logged between a survey and the next; nil: none.
func repairAfter(list []Survey, i int, log []readings.Repair) *readings.Repair {
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
