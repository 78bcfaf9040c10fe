package next

import (
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/weigh"
)

// acts are the things to do first: nothing, or to mend one group of places that ask
// for the same remedy; by act and rival the chance that it is right. A fan and a leak
// that the readings so far don't tell apart are two acts: a further reading may.
func acts(p *weigh.Posterior, rivals []rival) [][]float64 {
	out := [][]float64{make([]float64, len(rivals))}
	for k, r := range rivals {
		out[0][k] = r.fine
	}
	for _, g := range p.Groups() {
		for _, members := range byKind(p, g.Members) {
			row, any := make([]float64, len(rivals)), false
			for k, r := range rivals {
				if weigh.HoldsAny(r.fit.Hypothesis, members) {
					row[k], any = 1, true
				}
			}
			if any {
				out = append(out, row)
			}
		}
	}
	return out
}

// byKind parts the members of a group by their kind, in order.
func byKind(p *weigh.Posterior, members []int) [][]int {
	var out [][]int
	at := map[fault.Kind]int{}
	for _, m := range members {
		k := p.G.Sites[m].Kind
		if _, ok := at[k]; !ok {
			at[k] = len(out)
			out = append(out, nil)
		}
		out[at[k]] = append(out[at[k]], m)
	}
	return out
}

// ofHead is the share of a group's chance that its places of the kind that leads have.
func ofHead(p *weigh.Posterior, c fault.Candidate) float64 {
	for _, g := range p.Groups() {
		if s := p.G.Sites[g.Head]; s.Kind != c.Kind || s.Where != c.Where {
			continue
		}
		first := byKind(p, g.Members)[0]
		var any, head float64
		for i, f := range p.Sets {
			if weigh.HoldsAny(f.Hypothesis, g.Members) {
				any += p.Weight[i]
			}
			if weigh.HoldsAny(f.Hypothesis, first) {
				head += p.Weight[i]
			}
		}
		if any > 0 {
			return head / any
		}
	}
	return 1
}

// risk is the chance that what is to be done first is not right: to mend the fault
// that is asserted first or, where none is, to do nothing.
func risk(p *weigh.Posterior, first *fault.Candidate, together float64, matter []float64) float64 {
	if first != nil {
		return numeric.ClampProbability(1 - together*ofHead(p, *first))
	}
	risk := p.Unlisted
	for i, w := range p.Weight {
		risk += w * matter[i]
	}
	alone := matterAlone(p, matter)
	for i, x := range p.G.Rest {
		if p.Rest[i] > 0 {
			risk += p.Rest[i] * restMatters(x.Faults, alone)
		}
	}
	return numeric.ClampProbability(risk)
}

// matterAlone is for each place how likely it is that a fault there matters which
// is alone, as far as such sets were looked into.
func matterAlone(p *weigh.Posterior, matter []float64) map[int]float64 {
	sum, all := map[int]float64{}, map[int]float64{}
	for i, f := range p.Sets {
		if len(f.Faults) == 1 && p.Weight[i] >= mattersLeast {
			site := f.Faults[0].Site
			sum[site] += p.Weight[i] * matter[i]
			all[site] += p.Weight[i]
		}
	}
	for site := range sum {
		sum[site] /= all[site]
	}
	return sum
}

// restMatters is how likely it is that a set matters which was only screened: that
// one of its faults does.
func restMatters(faults []*fault.Variant, alone map[int]float64) float64 {
	none := 1.0
	for _, v := range faults {
		m, ok := alone[v.Site]
		if !ok {
			m = RestMatters
		}
		none *= 1 - m
	}
	return 1 - none
}

// RestMatters is how likely it is that a fault of a set matters which was only
// screened, where it was not looked into alone.
const RestMatters = 0.5
