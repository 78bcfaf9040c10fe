package asbuilt

import "lostair/diagnose/airflow"

// NewUnknowns are the parameters of a system as built, with their priors.
func NewUnknowns(m *airflow.Model) *Unknowns {
	u := &Unknowns{M: m}
	fam := map[[2]int]int32{}
	own := map[[3]int32]int32{}
	next := func() int32 { u.N++; return int32(u.N - 1) }
	scale := 1.0
	if l := m.Sys.Uncertainty.Losses; l > 0 {
		scale = l / UsualLosses
	}
	for _, p := range m.Parts() {
		sp := spreadOf(m.Sys, p)
		q := PartUnknown{Part: p, Added: sp.added, Ix: [3]int32{-1, -1, -1}}
		f := 1.0
		if sp.Losses {
			f = scale
		}
		sdOwn := sp.Own * f
		switch p.What {
		case airflow.FanSpeed:
			if v := m.Sys.Uncertainty.Fan; v > 0 {
				sdOwn = v
			}
			u.Speed = len(u.Parts)
		case airflow.FilterLoss:
			if v := m.Sys.Uncertainty.Filter; v > 0 && !(m.Sys.Collector.Filter != nil && m.Sys.Collector.Filter.Guessed) {
				sdOwn = v
			}
			sdOwn *= FilterBuilt
			u.Filter = len(u.Parts)
		case airflow.FanTurns:
			if m.Sys.Collector.Rated > 0 {
				sdOwn = RatedSpeed
			}
		case airflow.FanPressure, airflow.FanMostAir, airflow.FanShape, airflow.FanBend:
			sdOwn = fanSpread(p.What, m.Sys.Collector.FanKnown())
			if sdOwn == 0 { // as the page's curve has it
				u.Parts = append(u.Parts, q)
				continue
			}
		}
		// A duct's segments share their duct's own deviation: one hose, one roughness.
		key := [3]int32{int32(p.What), max(p.Duct, -1), max(p.Port, p.Gate)}
		i, ok := own[key]
		if !ok {
			i = next()
			own[key] = i
		}
		q.Ix[0], q.Sd[0] = i, sdOwn
		if sp.Family > 0 {
			k := [2]int{int(p.What), family(m.Sys, p)}
			j, ok := fam[k]
			if !ok {
				j = next()
				fam[k] = j
			}
			q.Ix[1], q.Sd[1] = j, sp.Family*f
		}
		if p.Apart != 0 {
			// Every join goes by one law, which lies where it lies between the published ones.
			k := [2]int{int(airflow.Exchange), lawOfJoins}
			j, ok := fam[k]
			if !ok {
				j = next()
				fam[k] = j
			}
			q.Ix[2], q.Sd[2] = j, p.Apart*f
		}
		u.Parts = append(u.Parts, q)
	}
	u.places()
	u.Pull()
	return u
}
