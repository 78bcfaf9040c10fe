package diagnose

import (
	"math"
	"slices"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct/trade"
	"lostair/diagnose/fault"
	"lostair/diagnose/handbook"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/settings"
	"lostair/diagnose/internal/weigh"
	"lostair/diagnose/route"
	"lostair/readings/units"
)

// tooSmall lists the ports that are likelier too small by design than not.
func tooSmall(p *weigh.Posterior, r *Result) []TooSmall {
	var out []TooSmall
	for _, x := range p.SmallPorts() {
		pr := x.Probability * (1 - p.Unlisted)
		if pr < 0.5 {
			continue
		}
		port, d := &r.System.Ports[x.Port], &r.System.Ducts[x.Duct]
		t := TooSmall{Port: port.ID, Where: d.ID, Probability: pr, Open: x.Use.Open, Need: port.Need,
			Now: fault.Interval{Value: x.Flow.Quantile(0.5), Low: x.Flow.Quantile(0.05), High: x.Flow.Quantile(0.95)}}
		buy(p, &t, x)
		if t.Buy > 0 {
			t.Slow = slowed(p, &t)
		}
		out = append(out, t)
	}
	return out
}

// buy chooses the smallest size with which the need is met, or the next if only
// that meets it as good as surely. Each is solved for.
func buy(p *weigh.Posterior, t *TooSmall, x weigh.SmallPort) {
	s, sys := p.G.S, p.G.S.M.Sys
	own := sys.Ducts[x.Duct].Diameter
	page := math.Max(weigh.PageFlow(s, x.Port, x.Duct, x.Use.Cfg, 0), 1e-12)
	for _, size := range trade.Sizes(sys.Units) {
		if size <= own*(1+1e-9) || size > own*weigh.WidestTimes || !fits(s.M, x, size) {
			continue
		}
		by := weigh.PageFlow(s, x.Port, x.Duct, x.Use.Cfg, size) / page
		then := fault.Interval{Value: by * t.Now.Value, Low: by * t.Now.Low, High: by * t.Now.High}
		sure := then.Low >= t.Need
		switch {
		case t.Meets && !sure:
			return
		case t.Meets || then.Value > t.Then.Value*leastMore:
			t.take(x, s.M, size, then)
		}
		if sure {
			return
		}
	}
}

// fits is whether such a size can be put in: it is no wider than the duct that
// takes its air on, and where hose is to be replaced, hose is sold in it.
func fits(m *airflow.Model, x weigh.SmallPort, size float64) bool {
	sys := m.Sys
	wider := weigh.NarrowerOf(m, x.Port, x.Duct, size)
	for _, d := range wider {
		on := sys.Ducts[d].Into
		if on >= 0 && !slices.Contains(wider, on) && size > sys.Ducts[on].Diameter*(1+1e-9) {
			return false
		}
		if sys.Ducts[d].Material == "flexible" && !slices.Contains(trade.HoseSizes(sys.Units), size) {
			return false
		}
	}
	return true
}

// slowedLookedAt is how many settings in use are looked at for that; of more, so many evenly.
const slowedLookedAt = 60

// slowed finds the duct that what is bought brings furthest below the conveying
// velocity, of those that reach it now: in every setting in use in which its air
// flows, by as many times as the page says.
func slowed(p *weigh.Posterior, t *TooSmall) *Slowed {
	s, f := p.G.S, p.Sets[0]
	var wider []int
	for _, id := range t.Ducts {
		if d, ok := s.M.Sys.DuctNamed(id); ok {
			wider = append(wider, d)
		}
	}
	sys := weigh.Widened(s.M.Sys, wider, t.Buy)
	after, err := airflow.New(sys, airflow.Options{})
	if err != nil {
		return nil
	}
	convey, trunk := handbook.ConveyOf(sys), route.Trunks(sys)
	s.SetCoefs(f.At, nil)
	built, page, then := s.Coef, s.M.Coefs(), after.Coefs()
	var uses []settings.Setting
	seen := map[string]bool{}
	for port := range sys.Ports {
		if !slices.ContainsFunc(route.Of(s.M, port), func(d int) bool { return slices.Contains(wider, d) }) {
			continue
		}
		for _, use := range settings.JudgedFor(s.M, port) {
			if k := use.Open.String(); !seen[k] {
				seen[k] = true
				uses = append(uses, use)
			}
		}
	}
	var out *Slowed
	for _, i := range numeric.Evenly(len(uses), slowedLookedAt) {
		use := uses[i]
		now, was, will := s.M.NewState(), s.M.NewState(), after.NewState()
		if now.Solve(&built, use.Cfg) != nil || was.Solve(&page, use.Cfg) != nil || will.Solve(&then, use.Cfg) != nil {
			continue
		}
		for _, d := range wider {
			least := convey.Branch
			if trunk[d] {
				least = convey.Main
			}
			old := s.M.ProbeDuct(d, units.MeanVelocity)
			is := now.Value(old)
			v := is * will.Value(after.ProbeDuct(d, units.MeanVelocity)) / math.Max(was.Value(old), 1e-12)
			if is >= least && v < least && (out == nil || v/least < out.Velocity/out.Least) {
				out = &Slowed{Duct: sys.Ducts[d].ID, Open: use.Open, Velocity: v, Least: least}
			}
		}
	}
	return out
}

// leastMore is how many times as much air a wider size must bring to be worth buying.
const leastMore = 1.002

func (t *TooSmall) take(x weigh.SmallPort, m *airflow.Model, size float64, then fault.Interval) {
	t.Buy, t.Then, t.Meets = size, then, then.Value >= t.Need
	t.Ducts = nil
	for _, d := range weigh.NarrowerOf(m, x.Port, x.Duct, size) {
		t.Ducts = append(t.Ducts, m.Sys.Ducts[d].ID)
	}
}

// sizeFor is what is to be bought for a duct: the widest that one of its ports
// asks for.
func sizeFor(list []TooSmall, where string) (TooSmall, bool) {
	var out TooSmall
	for _, t := range list {
		if t.Where == where && t.Buy > out.Buy {
			out = t
		}
	}
	return out, out.Buy > 0
}
