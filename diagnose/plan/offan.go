package plan

import (
	"math"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/readings/units"
)

// A fan whose file has no curve is read first: little can be said of anything
// else while neither its pressure nor its flow is known. At most firstOfFan
// readings go to it, as long as one there is known to less than fanKnown.
const (
	firstOfFan = 3
	fanKnown   = 0.05 // share of the reading, one sigma
)

// pickOfFan takes the reading at the collector that is known least, of a fan
// without a curve; false if there is none worth taking.
func (pl *Planner) pickOfFan() bool {
	if pl.S.M.Sys.Collector.FanKnown() == duct.ByCurve {
		return false
	}
	best, top := -1, fanKnown
	for i := range pl.Offers {
		o := &pl.Offers[i]
		at := o.Stop.Point == airflow.FanInlet || o.Stop.Point == airflow.CollectorInlet
		if o.taken || !at && o.Stop.Quantity != units.MeanVelocity {
			continue
		}
		if !at && len(pl.picked) < firstOfFan-1 {
			continue // pressures come first; then one flow
		}
		if v := math.Sqrt(o.v) / math.Max(math.Abs(o.Stop.Expected.Value), 1e-9); v > top*(1+1e-9) {
			best, top = i, v
		}
	}
	if best < 0 {
		return false
	}
	pl.Offers[best].ofFan = true
	pl.Take(best)
	return true
}
