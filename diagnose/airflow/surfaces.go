package airflow

import "lostair/diagnose/duct"

func roughness(d *duct.Duct) float64 { if d.Material=="flexible" {return 3e-3}; return 9e-5 }
func hoodLoss(p *duct.Port) float64 { return p.Loss }
func plainLoss() float64 { return .93 }
