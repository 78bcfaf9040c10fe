package doubt

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/search"
	"lostair/readings/units"
)

// DataError is an explanation that is no fault of the system: what was given is
// not what it says. Its share of the posterior counts as unlisted.
type DataError struct {
	Score float64     // log of evidence times prior
	Doubt fault.Doubt // what to look at; NoDoubt: nothing in particular
	Soon  bool        // a look or a second reading settles it
	Fits  float64     // of what is soon checked: log of evidence alone
}

// How likely it is, before anything was read, that what was given is wrong as
// a whole. Common practice, no source.
const (
	AnotherPrior  = 0.01 // that the baseline is of another system, or of this one before it was rebuilt
	DiameterPrior = 0.06 // that one diameter on the page is wrong
)

// StrangeSpreads are factors on the fresh errors of readings that are not to
// be believed.
var StrangeSpreads = []float64{12, 80}

// DataErrors looks for explanations other than faults.
func DataErrors(g *search.Search, survey *Setup) []DataError {
	spreads := StrangeSpreads
	if len(g.S.Observation) == 1 {
		spreads = nil // a wrong row says the same
	}
	out := make([]DataError, 1+len(spreads))
	pool := g.Workers()
	numeric.ForEach(len(out), func(i int) {
		s := pool[i%numeric.Workers]
		if i == 0 {
			out[i] = DataError{Score: UnlistedEvidence(s, g.Sound) + math.Log(UnlistedPrior)}
			return
		}
		out[i] = DataError{Score: loosely(s, g.Sound, spreads[i-1]) + math.Log(search.StrangePrior),
			Doubt: fault.Doubt{Kind: fault.FitNothing}}
	})
	var page *pageState
	if !soundWillDo(g) || allNought(g) { // of the latter the sound system can make anything
		page = Page(g)
	}
	if page != nil {
		out = append(out, OtherGates(g, page)...)
		out = append(out, misreadings(g, page)...)
	}
	return out
}

// soundWillDo says that the sound system fits about as well as anything: then
// nothing but the loosest explanations beside faults is looked for.
func soundWillDo(g *search.Search) bool {
	return len(g.Sound.Rows) == 0 && g.Sound.Score() > g.Best()-1
}

// Setup is what a diagnosis starts from.
type Setup struct {
	M      *airflow.Model
	U      *asbuilt.Unknowns
	L      fit.Layout
	Survey *observe.Bound
	Bases  []*observe.Bound
	Job    fault.Job
}

// loosely is the evidence of the sound system with the fresh errors so many
// times the usual.
func loosely(s *fit.Study, sound *fit.Fit, rough float64) float64 {
	f := s.Under(unlistedSpread*s.PriorScale, rough*s.NoiseScale).FitFrom(fit.Hypothesis{}, sound.At, fit.PatienceFar, fit.Settings{Near: sound.Fit})
	if !f.Ok() {
		return math.Inf(-1)
	}
	return f.Evidence
}

// Resized is the system with one duct of another diameter.
type Resized struct {
	Duct  int
	D     float64
	M     *airflow.Model
	Bound *observe.Bound // the survey of it
}

// pageState is what the system by its page, or after a baseline by that, does
// in each configuration of a survey. The sound system as fitted is no place to
// rate other explanations from: it has been bent to readings that are not its own.
type pageState struct {
	*fit.Detail
	states []*airflow.State
	ports  [][]bool // which are connected
}

// Page is the sound system before anything was read; nil if it can't be solved.
func Page(g *search.Search) *pageState {
	s := g.S
	f := s.Linearised(fit.Hypothesis{}, s.Before())
	if !f.Ok() {
		return nil
	}
	p := &pageState{Detail: f.Fit, states: s.States}
	for _, c := range s.B.Configs {
		p.ports = append(p.ports, airflow.Reach(s.M, c.Config))
	}
	return p
}

// of is how improbable it is that readings differ so from the page, as a square
// of standard deviations.
func (p *pageState) of(r *mat.VecDense) float64 {
	a := mat.NewVecDense(r.Len(), nil)
	if !numeric.Solved(p.Chol.SolveVecTo(a, r)) {
		return math.Inf(1)
	}
	return mat.Dot(r, a)
}

// Through says whether air of a connected port passes a duct in a configuration.
func (p *pageState) Through(m *airflow.Model, cfg, duct int) bool {
	for i, on := range p.ports[cfg] {
		for d := m.Sys.Ports[i].Duct; on && d >= 0; d = m.Sys.Ducts[d].Into {
			if d == duct {
				return true
			}
		}
	}
	return false
}

// Misfit is how badly the survey fits the page of the resized system. What
// passes by the duct is as on the page.
func (p *pageState) Misfit(x *Resized) float64 {
	c, st := x.M.Coefs(), x.M.NewState()
	st.Unchecked = true
	r := mat.NewVecDense(len(x.Bound.Observation), nil)
	for k, list := range x.Bound.ByConfig() {
		through := len(list) > 0 && p.Through(x.M, k, x.Duct)
		if through {
			st.StartFrom(p.states[k])
			if st.Solve(&c, x.Bound.Configs[k].Config) != nil {
				return math.Inf(1)
			}
		}
		for _, i := range list {
			h := p.H[i]
			if through {
				h = st.Value(x.Bound.Observation[i].Probe)
			}
			r.SetVec(i, x.Bound.Observation[i].Y-h)
		}
	}
	return p.of(r)
}

// MetricSizes and InchSizes are the diameters that ducts are sold in, m.
// Common practice, no source.
var (
	MetricSizes = []float64{0.050, 0.063, 0.075, 0.080, 0.100, 0.120, 0.125, 0.140, 0.150, 0.160, 0.180, 0.200,
		0.225, 0.250, 0.280, 0.300, 0.315, 0.350, 0.355, 0.400, 0.450, 0.500, 0.560, 0.600, 0.630}
	InchSizes = []float64{0.0508, 0.0635, 0.0762, 0.1016, 0.127, 0.1524, 0.1778, 0.2032, 0.2286, 0.254, 0.3048, 0.3556, 0.4064,
		0.4572, 0.508, 0.5588, 0.6096}
)

// sizesNear lists the trade sizes for which a duct may be taken, those that
// differ by less than a reading could show left out. What is sold where a shop
// is described in inches is sold in inches.
func sizesNear(d float64, u units.System) []float64 {
	list := MetricSizes
	if u == units.US {
		list = InchSizes
	}
	var out []float64
	for _, t := range list {
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

// WithDiameter is the survey on the system with one other diameter; nil if
// there is no such system.
func (x *Setup) WithDiameter(i int, d float64) (*observe.Bound, *airflow.Model) {
	sys := x.M.Sys.Copy()
	sys.Ducts[i].MakeRound(d)
	m, err := airflow.New(sys, airflow.Options{})
	if err != nil {
		return nil, nil
	}
	b, bad := observe.Bind(m, x.Survey.Survey)
	if bad.Err() != nil {
		return nil, nil
	}
	if x.Survey.Kept != nil {
		b = search.Only(b, x.Survey.Kept)
	}
	return b, m
}

// Total is the log of what all explanations together weigh.
func Total(list []DataError) float64 {
	scores := make([]float64, len(list))
	for i, x := range list {
		scores[i] = x.Score
	}
	return numeric.LogSumExp(scores)
}

// ReadingsAlone is how well a set fits, whatever its faults' prior.
func ReadingsAlone(f *fit.Fit) float64 {
	out := f.Evidence
	for _, w := range f.Rows {
		out += math.Log(w.Prior)
	}
	return out
}
