package handbook

import (
	"lostair/diagnose/duct"
	"lostair/diagnose/duct/trade"
)

// linedHose is the roughness of a stretched hose whose wires are covered, m: 0.003 ft.
const linedHose = 0.9e-3

// Roughness returns a duct's roughness in m.
func Roughness(d *duct.Duct) float64 {
	if d.Material == "" {
		return d.Roughness
	}
	m, _ := trade.MaterialNamed(d.Material)
	if d.Lined {
		return linedHose
	}
	return m.Roughness
}

// HoodLoss returns a port's entry loss on its duct's velocity pressure.
func HoodLoss(p *duct.Port) float64 {
	if p.Hood == "" {
		return p.Loss
	}
	h, _ := trade.HoodNamed(p.Hood)
	return h.EntryLoss(p.Taper)
}

// PlainLoss is the entry loss of a plain duct end: a port with its machine unhooked.
func PlainLoss() float64 {
	h, _ := trade.HoodNamed("plain")
	return h.Loss
}
