package weigh

import (
	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/readings/units"
)

// Places lists what may be broken, and beside a baseline what may have changed since.
func Places(m *airflow.Model, baseline bool) []*fault.Site {
	out := fault.Sites(m)
	if baseline {
		out = append(out, fault.Alterations(m, len(out))...)
	}
	return out
}

// altered are the ducts whose losses have changed since the baseline, for the page.
func (p *Posterior) altered() []fault.Written {
	var out []fault.Written
	for i, s := range p.G.Sites {
		if s.Kind != fault.Altered || p.Site[i] < pageLeast {
			continue
		}
		w := fault.Written{Kind: fault.AsBuilt, Where: s.Where, Probability: p.Site[i], Says: &fault.Size{Quantity: Losses, Dimension: units.Multiple, Value: 1, Low: 1, High: 1}}
		iv := p.SeverityOf(i)
		w.Behaves = &fault.Size{Quantity: Losses, Dimension: units.Multiple, Value: iv.Value, Low: iv.Low, High: iv.High}
		out = append(out, w)
	}
	return out
}

// Losses is the quantity of a duct that has changed since the baseline.
const Losses = "losses"
