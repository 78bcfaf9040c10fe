package route

import (
	"slices"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/readings/units"
)

// Reach says for a configuration which ports are connected to the collector.
func Reach(m *airflow.Model, c airflow.Config) []bool {
	out := make([]bool, len(m.Sys.Ports))
	for i, p := range m.Sys.Ports {
		ok := true
		for d := p.Duct; d >= 0; d = m.Sys.Ducts[d].Into {
			if g := m.Sys.Ducts[d].Gate; g != "" {
				if k, found := m.GateIndex(g); found && !c.Open[k] {
					ok = false
				}
			}
		}
		out[i] = ok
	}
	return out
}

// Connected are those ports, each with a probe of its flow.
func Connected(m *airflow.Model, c airflow.Config) (ports []int, probes []airflow.Probe) {
	for i, ok := range Reach(m, c) {
		if !ok {
			continue
		}
		if pr, err := m.ProbeAt(m.Sys.Ports[i].ID, units.FlowRate); err == nil {
			ports, probes = append(ports, i), append(probes, pr)
		}
	}
	return ports, probes
}

// Upstream are up to n ports whose air passes a duct; any ports for the collector.
func Upstream(m *airflow.Model, d, n int) []int {
	var out []int
	for i, p := range m.Sys.Ports {
		for x := p.Duct; x >= 0 && len(out) < n; x = m.Sys.Ducts[x].Into {
			if x == d || d < 0 {
				out = append(out, i)
				break
			}
		}
	}
	return out
}

// Alone is the configuration with only a port's own gates open.
func Alone(m *airflow.Model, port int) airflow.Config {
	c, _ := m.Configure(false, nil, nil)
	for d := m.Sys.Ports[port].Duct; d >= 0; d = m.Sys.Ducts[d].Into {
		if g := m.Sys.Ducts[d].Gate; g != "" {
			k, _ := m.GateIndex(g)
			c.Open[k] = true
		}
	}
	return c
}

// Of is the ducts from a port to the collector.
func Of(m *airflow.Model, port int) []int {
	var out []int
	for d := m.Sys.Ports[port].Duct; d >= 0; d = m.Sys.Ducts[d].Into {
		out = append(out, d)
	}
	return out
}

// Own is the ducts on a port's way that carry its air alone.
func Own(m *airflow.Model, port int, trunk []bool) []int {
	way := Of(m, port)
	if k := slices.IndexFunc(way, func(d int) bool { return trunk[d] }); k >= 0 {
		way = way[:k]
	}
	return way
}

// All says of each port which ducts its air passes.
func All(m *airflow.Model) [][]bool {
	out := make([][]bool, len(m.Sys.Ports))
	for i := range out {
		out[i] = make([]bool, len(m.Sys.Ducts))
		for _, d := range Of(m, i) {
			out[i][d] = true
		}
	}
	return out
}

// Trunks says which ducts several ports draw through.
func Trunks(s *duct.System) []bool {
	serves := make([]int, len(s.Ducts))
	for _, p := range s.Ports {
		for d := p.Duct; d >= 0; d = s.Ducts[d].Into {
			serves[d]++
		}
	}
	out := make([]bool, len(serves))
	for d, n := range serves {
		out[d] = n > 1
	}
	return out
}
