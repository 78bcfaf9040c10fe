package asbuilt

import (
	"math"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
)

// places adds for each tap a parameter of how much of its duct's fittings
// really stands upstream of it. By the page they are spread along the duct, but
// a bend stands in one place: what it loses is on one side of the tap or the
// other, and not in part on both.
func (u *Unknowns) places() {
	loss := make([]float64, len(u.M.Sys.Ducts))
	for _, p := range u.M.Parts() {
		if p.What == airflow.Bends || p.What == airflow.FreeLoss {
			loss[p.Duct] += p.Base
		}
	}
	for i := range u.M.Sys.Ducts {
		d := &u.M.Sys.Ducts[i]
		segs := u.M.DuctSegments(i)
		for k := 1; k < len(segs) && loss[i] > 0 && d.Length > 0; k++ {
			u.placeAt(segs[k-1], segs[k], i, BendPlace*upstreamSpread(d, u.M.Position(segs[k]).From)*loss[i])
		}
	}
}

// placeAt is that of one tap: what one side has more the other has less.
func (u *Unknowns) placeAt(above, below, duct int, sd float64) {
	x := int32(u.N)
	u.N++
	for _, side := range []struct {
		seg int
		sd  float64
	}{{above, sd}, {below, -sd}} {
		p := airflow.Part{What: airflow.Bends, Slot: airflow.Slot{Kind: airflow.SlotK, Ix: int32(side.seg)}, Duct: int32(duct), Port: -1, Gate: -1}
		u.Parts = append(u.Parts, PartUnknown{Part: p, Added: true, Ix: [3]int32{x, -1, -1}, Sd: [3]float64{side.sd}})
	}
}

// upstreamSpread is the standard deviation of the share of a duct's fittings that
// stands upstream of a place, if each may stand anywhere.
func upstreamSpread(d *duct.Duct, at float64) float64 {
	n := 0
	for _, f := range d.Fittings {
		n += max(f.Count, 1)
	}
	up := min(max(at/d.Length, 0), 1)
	return math.Sqrt(up * (1 - up) / float64(max(n, 1)))
}
