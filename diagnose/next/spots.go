package next

import (
	"math"
	"slices"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/internal/doubt"
	"lostair/diagnose/internal/settings"
	"lostair/diagnose/internal/weigh"
	"lostair/diagnose/plan"
	"lostair/diagnose/route"
	"lostair/readings/units"
)

// configsMost is how many gate configurations are looked at.
const configsMost = 10

// configsToRead are each suspect's own gate alone, with its hose on and off, all shut,
// and all open. With inUse, what the system file says is in use stands in place of what
// it doesn't: of a gate alone the setting nearest to that, of all open those with
// several gates.
func configsToRead(p *weigh.Posterior, inUse bool) []plan.NextConfig {
	m := p.G.S.M
	inUse = inUse && len(m.Sys.Settings) > 0
	var out []plan.NextConfig
	add := func(c plan.NextConfig) {
		i := slices.IndexFunc(out, func(o plan.NextConfig) bool {
			return slices.Equal(o.Cfg.Open, c.Cfg.Open) && slices.Equal(o.HoseOff, c.HoseOff)
		})
		switch {
		case i < 0 || !inUse && len(c.Ports) > 0:
			out = append(out, c)
		case inUse: // one setting reads several ports
			out[i].Ports = append(out[i].Ports, c.Ports...)
		}
	}
	seen := map[int]bool{}
	for _, i := range p.Order() {
		if p.Site[i] < 0.01 || len(out) >= configsMost-2 {
			break
		}
		for _, port := range route.Upstream(m, p.G.Sites[i].Duct, 2) {
			if seen[port] || len(out) >= configsMost-2 || m.Sys.Ports[port].ID == doubt.AddedPort {
				continue
			}
			seen[port] = true
			x := settings.Setting{Cfg: route.Alone(m, port), Open: settings.AloneOpen(m, port)}
			if inUse {
				x = settings.Nearest(m, port)
			}
			c := plan.NextConfig{Cfg: x.Cfg, Open: x.Open, Ports: []int{port}}
			add(c)
			if p.Site[i] > 0.05 && unhooks(m, port) {
				c.Cfg.HoseOff = make([]bool, len(m.Sys.Ports))
				c.Cfg.HoseOff[port] = true
				c.HoseOff, c.Unhook = []string{m.Sys.Ports[port].ID}, plan.MinutesUnhook
				add(c)
			}
		}
	}
	none, _ := m.Configure(false, nil, nil)
	add(plan.NextConfig{Cfg: none})
	loaded := []duct.Setting{{All: true}}
	if inUse {
		loaded = m.Sys.Together()
	}
	for _, t := range loaded[:min(len(loaded), configsMost)] {
		if all, err := m.Configure(t.All, t.Gates, nil); err == nil {
			add(plan.NextConfig{Cfg: all, Open: settings.OpenOf(t)})
		}
	}
	return out
}

// unhooks is whether a port has a machine to unhook: a plain duct end, like a
// floor sweep, has none, and without a hose nothing comes off.
func unhooks(m *airflow.Model, port int) bool {
	x := &m.Sys.Ports[port]
	return x.Hood != "plain" && m.Sys.Ducts[x.Duct].Material == "flexible"
}

// spotsIn lists what can be read along the way of a configuration's ports, and
// near the suspects when all gates are shut or open.
func spotsIn(p *weigh.Posterior, c plan.NextConfig) []plan.SpotToRead {
	m := p.G.S.M
	ducts := map[int]bool{}
	for _, port := range c.Ports {
		for d := m.Sys.Ports[port].Duct; d >= 0; d = m.Sys.Ducts[d].Into {
			ducts[d] = true
		}
	}
	if len(c.Ports) == 0 {
		for _, i := range p.Order()[:min(12, len(p.Order()))] {
			for d := p.G.Sites[i].Duct; d >= 0; d = m.Sys.Ducts[d].Into {
				ducts[d] = true
			}
		}
	}
	var out []plan.SpotToRead
	add := func(point string, q units.Quantity, minutes float64) {
		if pr, err := m.ProbeAt(point, q); err == nil {
			out = append(out, plan.SpotToRead{Point: point, Q: q, Probe: pr, Minutes: minutes})
		}
	}
	for d := range m.Sys.Ducts {
		if !ducts[d] {
			continue
		}
		for _, t := range m.Sys.Ducts[d].Taps {
			add(t.ID, units.StaticPressure, plan.MinutesTap)
		}
		if pr, ok := m.ProbeHole(d); ok && len(c.HoseOff) == 0 {
			hole := &plan.NewTap{Duct: m.Sys.Ducts[d].ID, At: holePlace(m, d)}
			out = append(out, plan.SpotToRead{Point: m.Sys.FreshTap(d), Q: units.StaticPressure, Probe: pr, Minutes: plan.MinutesHole, Hole: hole})
		}
	}
	for _, port := range c.Ports {
		add(m.Sys.Ports[port].ID, units.MeanVelocity, plan.MinutesMouth)
	}
	add(airflow.CollectorInlet, units.StaticPressure, plan.MinutesTap)
	add(airflow.FanInlet, units.StaticPressure, plan.MinutesTap)
	add(airflow.FilterPoint, units.PressureDrop, plan.MinutesTap)
	return out
}

// holePlace is where a hole is drilled in a duct, from its upstream end, m: as
// near to the end as a drill and a disturbed flow allow. Common practice, no source. It
// is rounded to what is easily found on a tape: centimetres, or quarters of a foot.
func holePlace(m *airflow.Model, d int) float64 {
	t := &m.Sys.Ducts[d]
	at := math.Min(2*t.Diameter, t.Length/2)
	if len(t.Taps) > 0 {
		at = math.Min(at, t.Taps[0].Distance/2)
	}
	if m.Sys.Units == units.US {
		tape := units.Length.FromSI(units.US, at)
		if r := math.Round(tape*4) / 4; r > 0 && r < 2*tape { // within the run, or before its first tap
			return at * r / tape
		}
	}
	return math.Round(at*100) / 100
}
