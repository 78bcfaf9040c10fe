package next

import (
	"math"
	"slices"
	"sort"
	"strings"

	"gonum.org/v1/gonum/stat/distuv"

	"lostair/diagnose/internal/weigh"
	"lostair/diagnose/plan"
	"lostair/readings"
)

// WrongFirst is what it costs to do the wrong thing first: time and parts spent
// in vain, in minutes. Common practice, no source.
const WrongFirst = 480.0

// Bounds of the choice.
const (
	rivalSamples = 8  // outcomes looked at of each rival
	rolloutTop   = 8  // asks that a sequence is tried from
	rolloutPool  = 12 // and that it goes on with
	rolloutDeep  = 3  // asks in a sequence
	BitsWorth    = 4  // minutes that a bit is worth beside what it changes at once
)

// chooser weighs what could be asked by what it would change in what to do
// first, per minute from where the person stands.
type chooser struct {
	rivals  []rival
	asking  []rival     // the same, in classes of what they ask for
	right   [][]float64 // by act, by rival: the chance that it is the right thing to do
	act     int         // the best as things are
	at      stand
	of      []int     // by sample: the rival that it is drawn from
	weights []float64 // by sample
	post    []float64 // scratch, by rival
}

func newChooser(rivals []rival, right [][]float64, at stand) *chooser {
	c := &chooser{rivals: rivals, right: right, at: at, post: make([]float64, len(rivals))}
	for k := range rivals {
		for range rivalSamples {
			c.of = append(c.of, k)
			c.weights = append(c.weights, rivals[k].weight/rivalSamples)
		}
	}
	best := -1.0
	for a := range right {
		if v := c.chance(a, func(k int) float64 { return rivals[k].weight }); v > best {
			best, c.act = v, a
		}
	}
	c.asking = c.byWhatTheyAsk()
	return c
}

// byWhatTheyAsk are the rivals in classes of what they ask for: those for which what
// is to be mended first is right need not be told apart. Where nothing is to be, any
// fault is worth finding.
func (c *chooser) byWhatTheyAsk() []rival {
	out := slices.Clone(c.rivals)
	for k := range out {
		if out[k].class++; c.act > 0 && c.right[c.act][k] >= 0.5 {
			out[k].class = 0
		}
	}
	return out
}

// chance that an act is right under weights that sum to one.
func (c *chooser) chance(a int, weight func(k int) float64) float64 {
	var p float64
	for k := range c.rivals {
		p += c.right[a][k] * weight(k)
	}
	return p
}

// reading fills in what a reading shows that is normal under each rival. The
// samples of a rival lie at the middles of slices of equal probability, in an
// order that differs from ask to ask.
func (c *chooser) reading(a *ask, mean, sd []float64, nth int) {
	for i, k := range c.of {
		j := (i*(2*nth+1) + nth*nth + i*i*nth) % rivalSamples
		u := (float64(j) + 0.5) / rivalSamples
		y := mean[k] + sd[k]*distuv.UnitNormal.Quantile(u)
		row := make([]float64, len(c.rivals))
		for l := range row {
			z := (y - mean[l]) / sd[l]
			row[l] = -0.5*z*z - math.Log(sd[l])
		}
		a.logs = append(a.logs, row)
	}
}

// looking fills in the answers of a look: speaks is the chance of the answer
// that speaks for the fault, by rival.
func (c *chooser) looking(a *ask, speaks []float64, nth int) {
	for i, k := range c.of {
		j := (i*(2*nth+1) + nth) % rivalSamples
		yes := (float64(j)+0.5)/rivalSamples < speaks[k]
		row := make([]float64, len(c.rivals))
		for l := range row {
			if row[l] = math.Log(1 - speaks[l]); yes {
				row[l] = math.Log(speaks[l])
			}
		}
		a.logs = append(a.logs, row)
	}
}

// better is by how much the chance to do the right thing first is expected to
// rise when what has been asked, whose log likelihoods are summed in so, is
// followed by a.
func (c *chooser) better(so [][]float64, a *ask) float64 {
	var sum float64
	for i := range c.of {
		c.believe(i, so, a)
		best := 0.0
		own := c.chance(c.act, func(k int) float64 { return c.post[k] })
		for x := range c.right {
			best = max(best, c.chance(x, func(k int) float64 { return c.post[k] }))
		}
		sum += c.weights[i] * (best - own)
	}
	return sum
}

// believe works out the weights of the rivals after a sample of the asks.
func (c *chooser) believe(i int, so [][]float64, a *ask) {
	top := math.Inf(-1)
	for k := range c.post {
		v := math.Log(c.rivals[k].weight) + a.logs[i][k]
		if so != nil {
			v += so[i][k]
		}
		c.post[k] = v
		top = max(top, v)
	}
	var sum float64
	for k := range c.post {
		c.post[k] = math.Exp(c.post[k] - top)
		sum += c.post[k]
	}
	for k := range c.post {
		c.post[k] /= sum
	}
}

// rank orders asks by what the best sequence that begins with each brings, where one
// brings anything, and else by what each does at once. It fills in what the best
// sequences from the first ones bring.
func (c *chooser) rank(asks []ask) []int {
	index := make([]float64, len(asks))
	change := make([]float64, len(asks))
	order := make([]int, len(asks))
	for i := range asks {
		order[i] = i
		change[i] = c.better(nil, &asks[i])
		index[i] = (WrongFirst*change[i] + BitsWorth*asks[i].decides) / c.at.minutes(&asks[i])
		asks[i].gain = math.Inf(-1)
	}
	sort.SliceStable(order, func(x, y int) bool { return index[order[x]] > index[order[y]] })
	pool := order[:min(rolloutPool, len(order))]
	for _, i := range order[:min(rolloutTop, len(order))] {
		asks[i].gain = c.rollout(asks, i, pool, change[i])
	}
	sort.SliceStable(order, func(x, y int) bool { return max(asks[order[x]].gain, 0) > max(asks[order[y]].gain, 0) })
	return order
}

// rollout goes on from one ask by the index, and says what the best length brings.
// What the others would bring as well without the first is none of its doing.
func (c *chooser) rollout(asks []ask, first int, pool []int, change float64) float64 {
	at, without := c.at.then(&asks[first]), c.at
	minutes, rest := c.at.minutes(&asks[first]), 0.0
	best := WrongFirst*change - minutes
	so, others, used := asks[first].logs, [][]float64(nil), map[int]bool{first: true}
	for range rolloutDeep - 1 {
		i, now := c.follow(asks, pool, used, so, change, at)
		if i < 0 {
			break
		}
		used[i] = true
		minutes, rest = minutes+at.minutes(&asks[i]), rest+without.minutes(&asks[i])
		at, without = at.then(&asks[i]), without.then(&asks[i])
		alone := WrongFirst*c.better(others, &asks[i]) - rest
		others, so, change = summed(others, asks[i].logs), summed(so, asks[i].logs), now
		if gain := WrongFirst*change - minutes; gain > alone {
			best = max(best, gain)
		}
	}
	return best
}

// follow is the ask that brings most per minute after others, and what all bring
// then; -1: none brings anything.
func (c *chooser) follow(asks []ask, pool []int, used map[int]bool, so [][]float64, change float64, at stand) (best int, now float64) {
	best, rate := -1, 0.0
	for _, i := range pool {
		if used[i] {
			continue
		}
		v := c.better(so, &asks[i])
		if r := (v - change) / at.minutes(&asks[i]); r > rate {
			best, rate, now = i, r, v
		}
	}
	return best, now
}

// summed adds log likelihoods; a may be nil.
func summed(a, b [][]float64) [][]float64 {
	if a == nil {
		return b
	}
	out := make([][]float64, len(a))
	for i := range a {
		out[i] = make([]float64, len(a[i]))
		for k := range out[i] {
			out[i][k] = a[i][k] + b[i][k]
		}
	}
	return out
}

// stand is where the person stands after the last row, and how the gates are.
type stand struct {
	setting string
	spot    string            // duct, or "collector"; "" not known
	spots   map[string]string // point → spot
}

// Minutes that it takes to come to a reading, beside the reading itself.
// Common practice, no source.
const (
	MinutesWalk = 0.5 // to another place
)

// minutes that an ask takes from here.
func (s stand) minutes(a *ask) float64 {
	t := a.Minutes
	if a.setting != "" && a.setting != s.setting {
		t += plan.MinutesGates
	}
	if s.spot == "" || s.spots[a.Point] != s.spot {
		t += MinutesWalk
	}
	return t
}

// then is where one stands after an ask.
func (s stand) then(a *ask) stand {
	if a.setting != "" {
		s.setting = a.setting
	}
	s.spot = s.spots[a.Point]
	return s
}

// settingOf names a setting of gates and hoses.
func settingOf(open readings.Open, hoseOff []string) string {
	return open.String() + "\x00" + strings.Join(hoseOff, "+")
}

// standing is where the last row of the survey was taken.
func standing(p *weigh.Posterior) stand {
	sys, s := p.G.S.M.Sys, p.G.S
	out := stand{spots: map[string]string{}}
	for i := range sys.Ducts {
		out.spots[sys.Ducts[i].ID] = sys.Ducts[i].ID
		if g := sys.Ducts[i].Gate; g != "" {
			out.spots[g] = sys.Ducts[i].ID
		}
		for _, t := range sys.Ducts[i].Taps {
			out.spots[t.ID] = sys.Ducts[i].ID
		}
	}
	for i := range sys.Ports {
		out.spots[sys.Ports[i].ID] = sys.Ducts[sys.Ports[i].Duct].ID
	}
	for _, x := range []string{readings.CollectorInlet, readings.FanInlet, readings.Filter, readings.Bin, readings.FanPoint} {
		out.spots[x] = "collector"
	}
	line := 0
	last := func(r *readings.Row) {
		if r.Line < line {
			return
		}
		line, out.spot = r.Line, out.spots[r.Point]
		if r.Look == "" {
			out.setting = settingOf(r.Open, r.HoseOff)
		}
	}
	for i := range s.B.Survey.Rows {
		last(&s.B.Survey.Rows[i])
	}
	for i := range s.B.Survey.Looks {
		last(&s.B.Survey.Looks[i])
	}
	return out
}
