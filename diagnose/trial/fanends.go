package trial

import "lostair/diagnose/handbook"

// FanEnds are the true ends of the fan's curve on the day of the survey, as it
// runs: the flow at no fan static pressure, and that pressure at no flow in
// standard air.
func (c *Case) FanEnds() (mostAir, mostSuction float64) {
	w := c.world
	mostSuction = w.m.FanCurve(0, &w.c) * handbook.StandardDensity / w.m.Air.Density
	lo, hi := 0.0, 1e3
	for range 80 {
		mid := (lo + hi) / 2
		if w.m.FanCurve(mid, &w.c) > 0 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo, mostSuction
}
