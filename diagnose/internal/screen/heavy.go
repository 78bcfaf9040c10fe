package screen

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
)

// heavyFrom is how many times what the middling severity does an addition must
// ask for to be looked at where it asks for it. A restriction that leaves a
// third of the bore does nine times what one does that leaves half, and not in
// proportion on any reading: rated by the middling one, the right cause of a port
// at half its flow stood five to six nats too low and was never fitted.
const heavyFrom = 1.6

// heavyLooks is how often such an addition is followed to where it fits best.
const heavyLooks = 3

// heavyMove is how far, in a severity, its effect is taken to change in proportion.
const heavyMove = 0.8

// heavier rates an addition where the readings ask for more of it than is
// usual: its effect is worked out there, and the severity followed to where it
// fits best. d and sd hold the effect of the middling severity and S⁻¹ of it.
func heavier(s *fit.Study, f *fit.Fit, x *Idea, p fit.Point, was []float64, solve []bool, linear func(i int) float64, d, sd *mat.VecDense) {
	m, v := len(s.Observation), x.Faults[len(x.Faults)-1]
	usual, n := v.Usual(), len(p.Z)-1
	z0, d0, sd0 := usual.Mean, mat.VecDenseCopyOf(d), mat.VecDenseCopyOf(sd)
	z1, h := x.Z, make([]float64, m)
	for range heavyLooks {
		if math.Abs(z1-z0) < 0.05 {
			return
		}
		q := p.Clone()
		q.Z[n] = z1
		if s.PredictRoughly(q, x.Hypothesis, h, solve) != nil {
			return
		}
		d1, sd1 := mat.NewVecDense(m, nil), mat.NewVecDense(m, nil)
		times := v.Amount(z1) / v.Amount(usual.Mean)
		for i, o := range s.Observation {
			if solve == nil || solve[o.Cfg] {
				d1.SetVec(i, h[i]-was[i])
			} else {
				d1.SetVec(i, linear(i)*times)
			}
		}
		if !numeric.Solved(f.Fit.Chol.SolveVecTo(sd1, d1)) {
			return
		}
		e, se := mat.NewVecDense(m, nil), mat.NewVecDense(m, nil)
		e.SubVec(d1, d0)
		e.ScaleVec(1/(z1-z0), e)
		se.SubVec(sd1, sd0)
		se.ScaleVec(1/(z1-z0), se)
		off := (z1 - usual.Mean) / usual.Sd
		there := mat.Dot(d1, f.Fit.Alpha) - mat.Dot(d1, sd1)/2 - off*off/2
		slope := mat.Dot(e, f.Fit.Alpha) - mat.Dot(e, sd1) - off/usual.Sd
		bend := mat.Dot(e, se) + 1/(usual.Sd*usual.Sd)
		move := min(max(slope/bend, -heavyMove), heavyMove)
		there += slope*move - bend*move*move/2 - math.Log(usual.Sd*math.Sqrt(bend))
		if score := f.Evidence + x.Prior + there; score > x.Score {
			x.Score, x.Z = score, z1+move
		}
		z0, d0, sd0, z1 = z1, d1, sd1, z1+move
	}
}
