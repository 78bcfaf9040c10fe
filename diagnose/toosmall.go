package diagnose

import (
	"math"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/weigh"
	"lostair/readings"
)

// TooSmall is a port that gets less than it needs even without a fault, and the
// size to buy.
type TooSmall struct {
	Port        string
	Where       string // the duct that costs most
	Probability float64
	Ducts       []string       // to be replaced, from the port on: all that are narrower than Buy
	Buy         float64        // diameter, m: a size that is made
	Open        readings.Open  // the setting in which it gets least
	Need        float64        // m³/s
	Now, Then   fault.Interval // m³/s in that setting: without a fault, and with Buy as well
	Meets       bool           // Then reaches the need; else no size that is made does
}

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
	for _, size := range duct.TradeSizes(sys.Units) {
		if size <= own*(1+1e-9) || size > own*weigh.WidestTimes {
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
