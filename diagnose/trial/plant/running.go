package plant

import (
	"slices"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/readings"
)

// Together is the share of a plant's flow that runs at a time: a small shop
// opens one gate or two, a large plant runs whole.
func Together(n int) float64 {
	switch {
	case n <= 10:
		return 1 / float64(n)
	case n <= 24:
		return 2 / float64(n)
	}
	return min(2.0/24+float64(n-24)/76*(1-2.0/24), 1)
}

// Opened is the configuration with the gates of some ports open.
func Opened(m *airflow.Model, ports []int) airflow.Config {
	c, _ := m.Configure(false, nil, nil)
	for _, p := range ports {
		for d := m.Sys.Ports[p].Duct; d >= 0; d = m.Sys.Ducts[d].Into {
			if g := m.Sys.Ducts[d].Gate; g != "" {
				k, _ := m.GateIndex(g)
				c.Open[k] = true
			}
		}
	}
	return c
}

// GatesOf are the gates between a port and the collector.
func GatesOf(s *duct.System, port int) []string {
	var out []string
	for d := s.Ports[port].Duct; d >= 0; d = s.Ducts[d].Into {
		if g := s.Ducts[d].Gate; g != "" {
			out = append(out, g)
		}
	}
	return out
}

// Connected is whether all gates of a port are open.
func Connected(s *duct.System, port int, open readings.Open) bool {
	for _, g := range GatesOf(s, port) {
		if !open.All && !slices.Contains(open.Gates, g) {
			return false
		}
	}
	return true
}

// MustModel is the model of a system that was made here; that there is none would be a
// defect here.
func MustModel(s *duct.System, o airflow.Options) *airflow.Model {
	m, err := airflow.New(s, o)
	if err != nil {
		panic("trial: " + err.Error())
	}
	return m
}
