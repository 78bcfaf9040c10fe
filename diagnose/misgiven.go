package diagnose

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
)

// misgiven is an explanation that is no fault of the system: what was given is
// not what it says. Its share of the posterior counts as unlisted.
type misgiven struct {
	score float64 // log of evidence times prior
	doubt string  // what to look at; "": nothing in particular
	soon  bool    // a look or a second reading settles it
	fits  float64 // of what is soon checked: log of evidence alone
}

// How likely it is, before anything was read, that what was given is wrong as
// a whole. Common practice, no source.
const (
	strangePrior  = 0.01 // that the readings are not of this system, or not to be believed
	anotherPrior  = 0.01 // that the baseline is of another system, or of this one before it was rebuilt
	diameterPrior = 0.06 // that one diameter on the page is wrong
)

// strangeSpreads are factors on the fresh errors of readings that are not to
// be believed.
var strangeSpreads = []float64{12, 80}

// misgivens looks for explanations other than faults.
func (g *search) misgivens(survey *given) []misgiven {
	out := make([]misgiven, 1+len(strangeSpreads))
	pool := g.workers()
	inPairs(len(out), func(i int) {
		s := pool[i%workers]
		s.bar, s.ref = math.Inf(-1), g.sound.fit
		if i == 0 {
			out[i] = misgiven{score: s.unlistedEvidence(g.sound) + math.Log(unlistedPrior)}
			return
		}
		out[i] = misgiven{score: s.loosely(g.sound, strangeSpreads[i-1]) + math.Log(strangePrior),
			doubt: "The readings fit neither one another nor the system file: check that both are of the same system, the gates in the column open, and the units."}
	})
	var page *pageState
	if !g.soundWillDo() || g.allNought() { // of the latter the sound system can make anything
		page = g.page()
	}
	if page != nil {
		out = append(out, g.otherGates(page)...)
		out = append(out, g.misreadings(page)...)
	}
	switch {
	case len(survey.bases) > 0:
		out = append(out, g.anotherSystem(survey))
	case page != nil:
		out = append(out, g.otherDiameters(survey, page)...)
	}
	return out
}

// soundWillDo says that the sound system fits about as well as anything: then
// nothing but the loosest explanations beside faults is looked for.
func (g *search) soundWillDo() bool {
	return len(g.sound.rows) == 0 && g.sound.score() > g.best()-1
}

// checked is an explanation that a look or a second reading settles, as a fit
// weighs it.
func (g *search) checked(f *fitted, prior float64, doubt string) misgiven {
	fits := f.score() + g.off
	return misgiven{score: fits + math.Log(prior), soon: true, fits: fits, doubt: doubt}
}

// given is what a diagnosis starts from.
type given struct {
	m      *airflow.Model
	u      *unknowns
	l      layout
	survey *bound
	bases  []*bound
}

// loosely is the evidence of the sound system with the fresh errors so many
// times the usual.
func (s *study) loosely(sound *fitted, rough float64) float64 {
	kappa, usual := s.kappa, s.rough
	s.kappa, s.rough = unlistedSpread*kappa, rough*usual
	defer func() { s.kappa, s.rough = kappa, usual }()
	f := s.fitFrom(hypothesis{}, sound.at, patienceFar)
	if !f.ok {
		return math.Inf(-1)
	}
	return f.evidence
}

// anotherSystem is that the survey is of a sound system which the baseline
// says nothing of.
func (g *search) anotherSystem(x *given) misgiven {
	s := newStudy(x.m, x.u, x.l, x.survey, prior{mean: make([]float64, x.l.n), scale: 1})
	f := s.fitWithout(hypothesis{})
	fits := math.Inf(-1)
	if f.ok {
		fits = s.averaged(f) + f.prior
	}
	return misgiven{score: fits + math.Log(anotherPrior), soon: true, fits: fits, doubt: "The readings are those of a system that is sound, but not the one of the baseline: check that it is of this system and that nothing was rebuilt since."}
}

// averaged is the evidence of a fit over all factors on spreads and fresh errors.
func (s *study) averaged(f *fitted) float64 {
	var all, norm []float64
	for _, k := range scales() {
		norm = append(norm, k.prior)
		if v, ok := s.rescaled(f, k.spread, k.fresh); ok {
			all = append(all, v+k.prior)
		}
	}
	return logSum(all) - logSum(norm)
}

// otherDiameters is that one duct is wider or narrower than its page says, and
// nothing else wrong. It is looked at only where the readings do not fit the
// page, and only at the ducts where they do not.
func (g *search) otherDiameters(x *given, page *pageState) []misgiven {
	var ideas []resized
	for _, i := range g.suspects() {
		for _, d := range sizesNear(x.m.Sys.Ducts[i].Diameter) {
			ideas = append(ideas, resized{duct: i, d: d, misfit: math.Inf(1)})
		}
	}
	inPairs(len(ideas), func(k int) {
		c := &ideas[k]
		if c.bound, c.m = x.withDiameter(c.duct, c.d); c.bound != nil {
			c.misfit = page.misfit(c)
		}
	})
	ideas = slices.DeleteFunc(ideas, func(c resized) bool { return c.bound == nil })
	sort.SliceStable(ideas, func(a, b int) bool { return ideas[a].misfit < ideas[b].misfit })
	ideas = ideas[:leaders(len(ideas), diameterFits, diameterWindow, func(k int) float64 { return ideas[k].misfit })]
	prior := diameterPrior / float64(len(x.m.Sys.Ducts)*sizesEach)
	out := make([]misgiven, len(ideas))
	inPairs(len(ideas), func(k int) {
		c, d := &ideas[k], &x.m.Sys.Ducts[ideas[k].duct]
		s := c.study(g.s)
		s.bar = g.barFor(prior)
		out[k] = g.checked(s.fitWithout(hypothesis{}), prior,
			fmt.Sprintf("If %s were %s wide and not %s, the readings would fit with no fault: measure it.", d.ID, inMillimetres(c.d), inMillimetres(d.Diameter)))
	})
	return out
}

// leaders is how many of n ideas, best first, are worth a fit: at most so many,
// and only those whose misfit lies within so many nats of the best.
func leaders(n, most int, window float64, misfit func(k int) float64) int {
	k := 0
	for k < min(n, most) && misfit(k) < misfit(0)+2*window {
		k++
	}
	return k
}

// resized is the system with one duct of another diameter.
type resized struct {
	duct   int
	d      float64
	misfit float64
	m      *airflow.Model
	bound  *bound // the survey of it
}

// study is that of the survey on the resized system, as wide in spread as that
// on the page, and thinned like it.
func (c *resized) study(like *study) *study {
	u := newUnknowns(c.m)
	l := newLayout(u, c.bound)
	s := newStudy(c.m, u, l, c.bound, prior{mean: make([]float64, l.n), scale: 1})
	if s.kappa = like.kappa; like.lost != nil {
		s.slim()
	}
	return s
}

// pageState is what the system by its page, or after a baseline by that, does
// in each configuration of a survey. The sound system as fitted is no place to
// rate other explanations from: it has been bent to readings that are not its own.
type pageState struct {
	*fitDetail
	states []*airflow.State
	ports  [][]bool // which are connected
}

// page is the sound system before anything was read; nil if it can't be solved.
func (g *search) page() *pageState {
	s := g.s
	f := s.linearised(hypothesis{}, s.before())
	if !f.ok {
		return nil
	}
	p := &pageState{fitDetail: f.fit, states: s.states}
	for _, c := range s.b.configs {
		p.ports = append(p.ports, reach(s.m, c.Config))
	}
	return p
}

// of is how improbable it is that readings differ so from the page, as a square
// of standard deviations.
func (p *pageState) of(r *mat.VecDense) float64 {
	a := mat.NewVecDense(r.Len(), nil)
	if !solved(p.chol.SolveVecTo(a, r)) {
		return math.Inf(1)
	}
	return mat.Dot(r, a)
}

// through says whether air of a connected port passes a duct in a configuration.
func (p *pageState) through(m *airflow.Model, cfg, duct int) bool {
	for i, on := range p.ports[cfg] {
		for d := m.Sys.Ports[i].Duct; on && d >= 0; d = m.Sys.Ducts[d].Into {
			if d == duct {
				return true
			}
		}
	}
	return false
}

// misfit is how badly the survey fits the page of the resized system. What
// passes by the duct is as on the page.
func (p *pageState) misfit(x *resized) float64 {
	c, st := x.m.Coefs(), x.m.NewState()
	st.Unchecked = true
	r := mat.NewVecDense(len(x.bound.obs), nil)
	for k, list := range x.bound.byConfig() {
		through := len(list) > 0 && p.through(x.m, k, x.duct)
		if through {
			st.StartFrom(p.states[k])
			if st.Solve(&c, x.bound.configs[k].Config) != nil {
				return math.Inf(1)
			}
		}
		for _, i := range list {
			h := p.h[i]
			if through {
				h = st.Value(x.bound.obs[i].probe)
			}
			r.SetVec(i, x.bound.obs[i].y-h)
		}
	}
	return p.of(r)
}

// suspects are the ducts in which the leading sets see something wrong, a
// fault or a row, and those that adjoin them.
func (g *search) suspects() []int {
	var out []int
	add := func(d int) {
		if d >= 0 && !contains(out, d) {
			out = append(out, d)
		}
	}
	for _, f := range g.all {
		if f.score() < g.best()-exchangeWindow {
			continue
		}
		for _, v := range f.faults {
			add(g.sites[v.site].duct)
		}
		for _, w := range f.rows {
			add(g.s.ductOf(w.obs))
		}
	}
	for _, d := range append([]int(nil), out...) {
		add(g.s.m.Sys.Ducts[d].Into)
		for _, c := range g.s.m.Sys.Ducts[d].Children {
			add(c)
		}
	}
	return out[:min(len(out), suspectsMost)]
}

// ductOf is the duct that an observation was taken in; -1: the collector.
func (s *study) ductOf(i int) int { return s.ductAt(s.b.survey.Readings[s.obs[i].reading].Point) }

// ductAt is the duct of a tap or a port; -1: of neither.
func (s *study) ductAt(at string) int {
	if d, _, ok := s.m.Sys.TapAt(at); ok {
		return d
	}
	if p, ok := s.m.Sys.PortNamed(at); ok {
		return s.m.Sys.Ports[p].Duct
	}
	return -1
}

// diameterFits is how many other diameters are fitted exactly, and
// diameterWindow how many nats they may lie below the best of them at first sight.
const (
	diameterFits   = 6
	diameterWindow = 12.0
)

// suspectsMost bounds the ducts that are looked at.
const suspectsMost = 16

// sizesEach is about how many sizes are near a diameter.
const sizesEach = 6

func inMillimetres(d float64) string { return fmt.Sprintf("%.0f mm (%.3g in)", 1000*d, d/0.0254) }

// tradeSizes are the diameters that ducts are sold in, m: metric and inch.
// Common practice, no source.
var tradeSizes = []float64{0.050, 0.0508, 0.0635, 0.075, 0.0762, 0.080, 0.100, 0.1016, 0.120, 0.125, 0.127, 0.140, 0.150, 0.1524, 0.160, 0.1778, 0.180, 0.200, 0.2032,
	0.225, 0.2286, 0.250, 0.254, 0.280, 0.300, 0.3048, 0.315, 0.350, 0.3556, 0.400, 0.4064, 0.450, 0.500, 0.560, 0.600, 0.630}

// sizesNear lists the trade sizes for which a duct may be taken, those that
// differ by less than a reading could show left out.
func sizesNear(d float64) []float64 {
	var out []float64
	for _, t := range tradeSizes {
		if r := t / d; r < 0.6 || r > 1.6 || math.Abs(r-1) < 0.06 {
			continue
		}
		if n := len(out); n > 0 && t/out[n-1] < 1.04 {
			continue
		}
		out = append(out, t)
	}
	return out
}

// withDiameter is the survey on the system with one other diameter; nil if
// there is no such system.
func (x *given) withDiameter(i int, d float64) (*bound, *airflow.Model) {
	sys := *x.m.Sys
	sys.Ducts = append([]duct.Duct(nil), sys.Ducts...)
	sys.Ducts[i].Diameter = d
	m, err := airflow.New(&sys, airflow.Options{})
	if err != nil {
		return nil, nil
	}
	b, bad := bind(m, x.survey.survey)
	if bad.Err() != nil {
		return nil, nil
	}
	if x.survey.kept != nil {
		b = b.only(x.survey.kept)
	}
	return b, m
}

// total is the log of what all explanations together weigh.
func total(list []misgiven) float64 {
	scores := make([]float64, len(list))
	for i, x := range list {
		scores[i] = x.score
	}
	return logSum(scores)
}

// misgivings says what to look at, of the explanations that weigh enough. Beside
// faults it also names what the readings do not rule out, however unlikely it was
// before they were taken: a look can.
func (p *posterior) misgivings(faults bool) []string {
	all, best := total(p.given), p.sets[0].readingsAlone()
	var out []string
	said := map[string]bool{}
	for _, x := range p.given {
		weighs := p.share(x, all) >= 0.1 || faults && x.soon && x.fits > best-asWell
		if x.doubt == "" || said[x.doubt] || !weighs {
			continue
		}
		said[x.doubt] = true
		out = append(out, x.doubt)
	}
	return out
}

// share is what an explanation has of all probability; all of them together
// weigh so much.
func (p *posterior) share(x misgiven, all float64) float64 {
	return p.unlisted * math.Exp(x.score-all)
}

// instead is the explanation other than faults that is likelier than all else together.
func (p *posterior) instead() string {
	all, weight := total(p.given), map[string]float64{}
	for _, x := range p.given {
		if weight[x.doubt] += p.share(x, all); x.doubt != "" && weight[x.doubt] > 0.5 {
			return x.doubt
		}
	}
	return ""
}

// asWell is by how many nats an explanation may fit the readings worse than the
// best and not be ruled out by them: a factor of ten. Common practice, no source.
const asWell = 2.3

// readingsAlone is how well a set fits, whatever its faults' prior.
func (f *fitted) readingsAlone() float64 {
	out := f.evidence
	for _, w := range f.rows {
		out += math.Log(w.prior)
	}
	return out
}

// wideHole is the share of a duct's bore above which a hole looks like a branch.
const wideHole = 0.4

// branchDoubts asks after branches that the page may lack: to the readings an
// open one is a hole as wide as itself.
func branchDoubts(r *Result) []string {
	var out []string
	for _, f := range r.Faults {
		if f.Kind != Leak {
			continue
		}
		for i := range r.System.Ducts {
			d := &r.System.Ducts[i]
			if d.ID == f.Where && f.Severity.Value > wideHole*math.Pi/4*d.Diameter*d.Diameter {
				out = append(out, fmt.Sprintf("A hole as large as that at %s is hard to overlook: look whether an open branch joins there that the system file lacks, or a hose has come off.", d.ID))
			}
		}
	}
	return out
}
