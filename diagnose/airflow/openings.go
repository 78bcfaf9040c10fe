package airflow

// mouth is the area to which a velocity read at a port refers: its opening's,
// or with the machine unhooked the duct's.
func (m *Model) mouth(port int32, cfg *Config) float64 {
	p := &m.Sys.Ports[port]
	if p.Opening == nil || cfg != nil && cfg.HoseOff != nil && cfg.HoseOff[port] {
		return m.seg[m.ports[port]].area
	}
	return p.Opening.Area()
}

// In is the probe as it is in a configuration: at a port whose machine is
// unhooked there is no opening but the duct's.
func (m *Model) In(r Probe, cfg Config) Probe {
	if r.place == atPort {
		r.bore = m.mouth(m.seg[r.up].port, &cfg)
	}
	return r
}
