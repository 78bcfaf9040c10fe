package next

import (
	"slices"

	"lostair/diagnose/airflow"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/weigh"
	"lostair/readings"
)

// looks rates the checks by eye for the suspects.
func looks(p *weigh.Posterior, c *chooser) []ask {
	var out []ask
	for _, i := range p.Order() {
		if p.Site[i] < 0.005 || len(out) >= looksMost {
			break
		}
		s := p.G.Sites[i]
		for _, r := range observe.LookRates {
			if r.Kind != s.Kind || !suits(&r, p.G.S.M, s.Where) || lookedAt(p, r.Look, s.Where) {
				continue
			}
			a := ask{Step: Step{Point: s.Where, LookAt: r.Look, Minutes: r.Minutes}}
			speaks := make([]float64, len(c.rivals))
			for k, x := range c.rivals {
				if speaks[k] = r.Mistake; weigh.Holds(x.fit.Hypothesis, i) {
					speaks[k] = r.Sees
				}
			}
			if a.Bits = lookBits(c.rivals, speaks); a.Bits < leastBits/2 {
				continue
			}
			a.decides = lookBits(c.asking, speaks)
			if a.setting = ""; r.Look == readings.Hisses {
				a.setting = settingOf(readings.Open{}, nil) // heard with all gates shut
			}
			c.looking(&a, speaks, len(out))
			out = append(out, a)
		}
	}
	return out
}

// looksMost is how many looks are weighed.
const looksMost = 16

// suits is whether a look can be taken at the place of a fault.
func suits(r *observe.LookRate, m *airflow.Model, where string) bool {
	_, ok := observe.LookPlace(m, r.Look.At(), where)
	return ok
}

// lookedAt is whether a look stands in the survey already.
func lookedAt(p *weigh.Posterior, k readings.Look, where string) bool {
	return slices.ContainsFunc(p.G.S.B.Looks, func(x observe.Looked) bool { return x.Row.Look == k && x.Site.Where == where })
}
