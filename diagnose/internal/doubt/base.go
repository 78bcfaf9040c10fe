package doubt

import (
	"math"
	"slices"
	"sync"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/screen"
	"lostair/diagnose/internal/search"
	"lostair/readings"
)

// base is a place to rate mistakes from: the system by its page, or with faults
// of a leading set, solved in each setting. No row is set aside: what a mistake
// explains may have been.
type base struct {
	s     *fit.Study
	f     *fit.Fit
	prior float64 // log, of its faults
	page  bool
	less  bool // a leading set without one of its faults, which a mistake may replace

	once       sync.Once
	solvedPage *pageSolved

	mu     sync.Mutex
	shifts map[inOther][]float64
}

// inOther is a setting read with other gates.
type inOther struct {
	cfg  int
	open string
}

func (b *base) score() float64 { return b.f.Evidence + b.prior }

// baseOf is a base; nil if it can't be solved.
func baseOf(s *fit.Study, faults []*fault.Variant, at fit.Point, prior float64) *base {
	t := s.Twin()
	f := t.Linearised(fit.Hypothesis{Faults: faults}, fit.Point{Theta: at.Theta, Z: at.Z})
	if !f.Ok() {
		return nil
	}
	t.SetCoefs(f.At, faults)
	return &base{s: t, f: f, prior: prior}
}

// asUsual is a study with the usual spread and errors; nil if it has those. A system
// that is not as on its page may have been taken for one built far off it.
func asUsual(s *fit.Study) *fit.Study {
	if s.PriorScale == 1 && s.NoiseScale == 1 {
		return nil
	}
	t := s.Twin()
	t.PriorScale, t.NoiseScale = 1, 1
	return t
}

// basesMost is how many sets of faults mistakes are rated from, beside the page.
const basesMost = 4

// bases are the page and the leading sets of faults, each set once.
func bases(g *search.Search) []*base {
	var out []*base
	for _, s := range []*fit.Study{g.S, asUsual(g.S)} {
		if s == nil {
			continue
		}
		if b := baseOf(s, nil, s.Before(), 0); b != nil {
			b.page = true
			out = append(out, b)
		}
	}
	most := len(out) + basesMost
	seen := map[string]bool{}
	for _, f := range g.All {
		h := fit.Hypothesis{Faults: f.Faults}
		k := g.Coarse(h)
		if f.Score() < g.Best()-BasesWindow || len(out) == most {
			break
		}
		if seen[k] || f.Fit == nil {
			continue
		}
		seen[k] = true
		if b := baseOf(g.S, f.Faults, f.At, PriorOf(g, f.Faults)); b != nil {
			out = append(out, b)
		}
	}
	for _, x := range LessOne(g) {
		if b := baseOf(g.S, x.Faults, x.At, PriorOf(g, x.Faults)); b != nil {
			b.less = true
			out = append(out, b)
		}
	}
	return out
}

// LessOne are the two best sets of several faults without each of these, each once:
// what a mistake explains was taken for one of them.
func LessOne(g *search.Search) []*fit.Fit {
	var out []*fit.Fit
	seen := map[string]bool{}
	from := 0
	for _, f := range g.All {
		if f.Score() < g.Best()-lessWindow || from == lessFrom {
			break
		}
		if len(f.Faults) < 2 || f.Fit == nil {
			continue
		}
		from++
		for k := range f.Faults {
			x := &fit.Fit{At: fit.Point{Theta: f.At.Theta, Z: slices.Delete(slices.Clone(f.At.Z), k, k+1)}}
			x.Faults = slices.Delete(slices.Clone(f.Faults), k, k+1)
			if key := g.Coarse(x.Hypothesis); !seen[key] {
				seen[key] = true
				out = append(out, x)
			}
		}
	}
	return out
}

const (
	lessFrom   = 2   // sets that are tried without one of their faults
	lessWindow = 3.5 // nats below the best within which they lie
)

// BasesWindow is how far below the best such a set may lie, in nats.
const BasesWindow = 12.0

// PriorOf is the log prior of a set of faults.
func PriorOf(g *search.Search, faults []*fault.Variant) float64 {
	var p float64
	for _, v := range faults {
		p += screen.LogOdds(g.Sites[v.Site].Prior) + math.Log(v.Weight)
	}
	return p
}

// solved is the model of a base in a setting; nil if it can't be solved.
func (b *base) solved(cfg airflow.Config) *airflow.State {
	st := b.s.M.NewState()
	st.Unchecked, st.Roughly = true, b.s.Lost != nil // it is only to rate a mistake
	if st.Solve(&b.s.Coef, cfg) != nil {
		return nil
	}
	return st
}

// inSetting is the effect of other gates in some settings: those that to gives one for.
func (b *base) inSetting(to func(cfg int) (readings.Open, bool)) []float64 {
	out := make([]float64, len(b.s.Observation))
	for c, list := range b.s.By {
		open, other := to(c)
		if !other || len(list) == 0 {
			continue
		}
		shift := b.shift(c, open)
		if shift == nil {
			return nil
		}
		for k, i := range list {
			out[i] = shift[k]
		}
	}
	return out
}

// shift is what other gates do to what was read in setting c; nil if that can't be
// solved. A gate that stood otherwise once is tried again as one that always did.
func (b *base) shift(c int, open readings.Open) []float64 {
	key := inOther{c, open.String()}
	b.mu.Lock()
	out, ok := b.shifts[key]
	b.mu.Unlock()
	if ok {
		return out
	}
	if cfg, err := b.s.M.Configure(open.All, open.Gates, b.s.B.Configs[c].HoseOff); err == nil {
		if st := b.solved(cfg); st != nil {
			for _, i := range b.s.By[c] {
				out = append(out, b.f.Fit.H[i]-b.s.Value(st, b.f.At.Theta, i))
			}
		}
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.shifts == nil {
		b.shifts = map[inOther][]float64{}
	}
	b.shifts[key] = out
	return out
}

// pageSolved is the system by its page, with a base's faults, in each setting.
type pageSolved struct {
	states []*airflow.State // nil where there is no reading
	value  []float64        // of each observation
	ok     bool
}

// byPage solves it, once a base: what else the system may be lies near it.
func (b *base) byPage() *pageSolved {
	b.once.Do(func() {
		c := b.s.M.Coefs()
		for k, v := range b.f.Faults {
			v.Apply(&c, b.f.At.Z[k])
		}
		p := &pageSolved{states: make([]*airflow.State, len(b.s.By)), value: make([]float64, len(b.s.Observation)), ok: true}
		for k, list := range b.s.By {
			if len(list) == 0 {
				continue
			}
			st := b.s.M.NewState()
			st.Unchecked = true
			if st.Solve(&c, b.s.B.Configs[k].Config) != nil {
				p.ok = false
				break
			}
			for _, i := range list {
				p.value[i] = st.Value(b.s.Observation[i].Probe)
			}
			p.states[k] = st
		}
		b.solvedPage = p
	})
	return b.solvedPage
}

// in is the effect of the system being another: what that does to the page.
func (b *base) in(m *airflow.Model) []float64 {
	out := make([]float64, len(b.s.Observation))
	was, now := b.byPage(), m.Coefs()
	if !was.ok || len(b.f.Faults) > 0 && len(now.Flat()) != len(b.s.Coef.Flat()) {
		return nil
	}
	for k, v := range b.f.Faults {
		v.Apply(&now, b.f.At.Z[k])
	}
	to := m.NewState()
	to.Roughly = true
	for c, list := range b.s.By {
		if len(list) == 0 {
			continue
		}
		cfg := b.s.B.Configs[c]
		other, err := m.Configure(cfg.Open.All, cfg.Open.Gates, cfg.HoseOff)
		if err != nil {
			return nil
		}
		if to.StartFrom(was.states[c]); to.Solve(&now, other) != nil {
			return nil
		}
		for _, i := range list {
			r := &b.s.B.Survey.Readings[b.s.Observation[i].Reading]
			p, err := m.ProbeAt(r.Point, r.Quantity)
			if err != nil {
				return nil
			}
			if r.Positions == 0 {
				p = p.OnAxis()
			}
			out[i] = was.value[i] - to.Value(p)
		}
	}
	return out
}

// elsewhere is the effect of readings having been taken at another tap.
func (b *base) elsewhere(other func(id string) string) []float64 {
	out := make([]float64, len(b.s.Observation))
	some := false
	for i := range b.s.Observation {
		o := b.s.Observation[i]
		r := &b.s.B.Survey.Readings[o.Reading]
		at := other(r.Point)
		if at == "" {
			continue
		}
		p, err := b.s.M.ProbeAt(at, r.Quantity)
		if err != nil {
			return nil
		}
		if r.Positions == 0 {
			p = p.OnAxis()
		}
		o.Probe, o.TapIx, o.AxisIx = p, -1, -1
		out[i], some = b.f.Fit.H[i]-fit.ValueOf(b.s.States[o.Cfg], b.f.At.Theta, &o, b.s.Day), true
	}
	if !some {
		return nil
	}
	return out
}
