package story

import (
	"math"

	"lostair/diagnose/fault"
	"lostair/readings/units"
)

// Episode is one thing that was wrong for a time: what, where, since when, until when,
// and how bad it was last.
type Episode struct {
	fault.Candidate                   // the likeliest kind and place, with its probability
	Alike           []fault.Candidate // what these surveys can't tell from it, likeliest first
	Together        float64           // probability that it is this one or one of Alike
	From            Moment            // the first survey that shows it
	To              *Moment           // the first survey without it; nil: it is still there
	Severity        fault.Interval    // when last seen, SI
	Dimension       units.Dimension
	Grew, Fell      bool // its severity rose, or fell by half and more, while it lasted
}

// episode turns a strand into what is said of it.
func (x *story) episode(e *strand) Episode {
	site := x.sites[e.site]
	from, to := momentsOf(e.paths, len(x.all))
	out := Episode{From: from, Dimension: site.Kind.Dimension()}
	if to.Survey < len(x.all) {
		to.High = min(to.High, len(x.all)-1)
		out.To = &to
	}
	for _, l := range e.like {
		c := fault.Candidate{Kind: x.sites[l.site].Kind, Where: x.sites[l.site].Where, Probability: e.there * l.share}
		out.Together += c.Probability
		switch {
		case l.site == e.site:
			out.Candidate = c
		case len(out.Alike) < mostLike:
			out.Alike = append(out.Alike, c)
		}
	}
	out.Together = math.Min(out.Together, e.there)
	v, common := x.variantOf(e, min(to.Survey, len(x.all))-1)
	best := likeliest(e.paths)
	if v != nil {
		out.Severity = severityOf(v, best.last, common)
		out.Grew, out.Fell = moved(v.Kind, best.first, best.last)
	}
	return out
}

// clearMove is how far a severity must have moved, in its z, to be told. Own
// choice: of a small hole it is some half of its area.
const clearMove = 0.5

// moved is whether a severity rose or fell clearly.
func moved(k fault.Kind, first, last bell) (grew, fell bool) {
	by := last.mean - first.mean
	if math.Abs(by) < clearMove || math.Abs(by) < 2*math.Sqrt(1/first.prec+1/last.prec) {
		return false, false
	}
	worse := by > 0 != (k == fault.GateRestricted)
	return worse, !worse
}

// variantOf is the variant of a strand's site in the last survey up to i that has one,
// with the variance of its severity that all surveys have in common.
func (x *story) variantOf(e *strand, i int) (v *fault.Variant, common float64) {
	for ; i >= x.first; i-- {
		l := x.all[i]
		for k, v := range l.base.Faults {
			if v.Site == e.site {
				return v, l.s.Common(l.base, k)
			}
		}
	}
	return nil, 0
}

// severityOf is a severity with its 90 % interval; common is what more surveys don't
// make smaller.
func severityOf(v *fault.Variant, b bell, common float64) fault.Interval {
	sd := math.Sqrt(1/b.prec + common + fault.LawVariance(v.Kind, b.mean))
	const z90 = 1.645 // of the normal, 5 % on each side
	lo, mid, hi := v.Severity(b.mean-z90*sd), v.Severity(b.mean), v.Severity(b.mean+z90*sd)
	return fault.Interval{Value: mid, Low: math.Min(lo, hi), High: math.Max(lo, hi)}
}
