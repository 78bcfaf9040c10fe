package airflow

import (
	"lostair/diagnose/duct"
	"lostair/diagnose/duct/trade"
)

// linedHose is the roughness of a stretched hose whose wires are covered, m: 0.003 ft.
const linedHose = 0.9e-3

// roughness returns a duct's roughness in m.
func roughness(d *duct.Duct) float64 {
	if d.Material == "" {
		return d.Roughness
	}
	m, _ := trade.MaterialNamed(d.Material)
	if d.Lined {
		return linedHose
	}
	return m.Roughness
}

// hoodLoss returns a port's entry loss on its duct's velocity pressure.
func hoodLoss(p *duct.Port) float64 {
	if p.Hood == "" {
		return p.Loss
	}
	h, _ := trade.HoodNamed(p.Hood)
	return h.EntryLoss(p.Taper)
}

// plainLoss is the entry loss of a plain duct end: a port with its machine unhooked.
func plainLoss() float64 {
	h, _ := trade.HoodNamed("plain")
	return h.Loss
}
