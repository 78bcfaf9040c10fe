package next

import (
	"fmt"
	"sort"

	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/weigh"
)

// Bounds of what is told apart.
const (
	setsMost    = 16 // hypotheses
	setsMostBig = 10 // of a large plant
	bigPlant    = 40 // ports
)

// rival is a hypothesis with its weight; rivals of one class blame the same places.
type rival struct {
	fit    *fit.Fit
	weight float64
	class  int
	fine   float64 // chance that its faults, if any, don't matter to what was read
}

func rivals(p *weigh.Posterior, matter []float64) []rival {
	var out []rival
	class := map[string]int{}
	var total float64
	most := setsMost
	if len(p.G.S.M.Sys.Ports) > bigPlant {
		most = setsMostBig
	}
	for i, f := range p.Sets {
		if len(out) == most || p.Weight[i] < 0.005 {
			break
		}
		k := fmt.Sprint(siteSet(f))
		if _, ok := class[k]; !ok {
			class[k] = len(class)
		}
		out = append(out, rival{f, p.Weight[i], class[k], 1 - matter[i]})
		total += p.Weight[i]
	}
	for i := range out {
		out[i].weight /= total
	}
	return out
}

func siteSet(f *fit.Fit) []int {
	var s []int
	for _, v := range f.Faults {
		s = append(s, v.Site)
	}
	sort.Ints(s)
	return s
}

func classes(r []rival) int {
	n := 0
	for _, x := range r {
		n = max(n, x.class+1)
	}
	return n
}

// foretelling are the sets that foretell a reading: the likeliest, as many as
// tell the next reading apart, and the sound system.
func foretelling(p *weigh.Posterior) []rival {
	out := []rival{{fit: p.G.Sound, weight: LeastSound}}
	total := LeastSound
	for i, f := range p.Sets {
		if len(out) > setsMost || p.Weight[i] < 0.005 {
			break
		}
		out = append(out, rival{fit: f, weight: p.Weight[i]})
		total += p.Weight[i]
	}
	for i := range out {
		out[i].weight /= total
	}
	return out
}

// LeastSound is the weight that the sound system keeps in foretelling. Own choice.
const LeastSound = 0.01
