package report

import (
	"lostair/diagnose"
	"lostair/diagnose/fault"
	"lostair/report/show"
)

// cautions are those for any result, and those that its faults call for.
func cautions(d *diagnose.Result) []string {
	out := show.Usual()
	for _, c := range d.Candidates {
		if c.Kind == fault.FanWeak && c.Probability >= 0.1 {
			out = append(out, show.Mains)
			break
		}
	}
	return append(out, show.NoRepair, show.NoProof)
}
