package report

import (
	"fmt"

	"lostair/diagnose"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/readings/units"
	"lostair/report/show"
)

// GuessedFan says how wide the fan is known whose file has no curve; "" if it has one.
func GuessedFan(sys *duct.System, u units.System) string {
	f, guessed := diagnose.GuessedFan(sys)
	if !guessed {
		return ""
	}
	return fmt.Sprintf("the fan has no curve; its most air is taken as %s, its most suction as %s (nine in ten), until readings tell",
		spanOf(f.MostAir, units.Flow, u), spanOf(f.MostSuction, units.Pressure, u))
}

// GuessedDrops say how wide the loss is known of each part of the collector of which the
// file says only that it is there.
func GuessedDrops(sys *duct.System, u units.System) []string {
	var out []string
	say := func(name string, iv *fault.Interval, d *duct.Drop) {
		if iv != nil {
			out = append(out, fmt.Sprintf("the %s's loss is taken as %s at %s (nine in ten; common practice, no source), until readings tell",
				name, spanOf(*iv, units.Pressure, u), units.Format(d.At, units.Flow, u)))
		}
	}
	cyclone, filter := diagnose.GuessedDrops(sys)
	say("cyclone", cyclone, sys.Collector.Cyclone)
	say("filter", filter, sys.Collector.Filter)
	return out
}

func spanOf(x fault.Interval, d units.Dimension, u units.System) string {
	return show.SpanIn(x.Low, x.High, d, u)
}
