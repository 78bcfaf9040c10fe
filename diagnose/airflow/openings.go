package airflow

import "lostair/diagnose/duct"

// openingLoss is K, on the velocity pressure of a duct of such a bore, of the
// step between a machine's own port and its duct.
func openingLoss(p *duct.Port, bore float64) float64 {
	if p.Opening == nil {
		return 0
	}
	a := p.Opening.Area()
	k := SectionLoss(a, bore, true)
	if a < bore {
		k *= bore / a * bore / a // from the velocity pressure of the opening
	}
	return k
}

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

// InletLoss is K, on the velocity pressure in a bore, of an opening of that
// area through which as much air passes: an orifice of the contract's discharge
// coefficient.
func InletLoss(bore, area float64) float64 { return ShutLoss(bore, area) }
