package report

import (
	"fmt"

	"lostair/diagnose"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/readings/units"
)

// GuessedFan says how wide the fan is known whose file has no curve; "" if it has one.
func GuessedFan(sys *duct.System, u units.System) string {
	f, guessed := diagnose.GuessedFan(sys)
	if !guessed {
		return ""
	}
	span := func(x fault.Interval, d units.Dimension) string {
		return units.Format(x.Low, d, u) + " to " + units.Format(x.High, d, u)
	}
	return fmt.Sprintf("the fan has no curve; its most air is taken as %s, its most suction as %s (nine in ten), until readings tell",
		span(f.MostAir, units.Flow), span(f.MostSuction, units.Pressure))
}
