package report

import (
	"lostair/diagnose/duct"
	"lostair/readings/units"
)

// InstrumentFor is the first instrument that measures d, "" if there is none.
func InstrumentFor(s *duct.System, d units.Dimension) string {
	for _, in := range s.Instruments {
		if in.Measures == d {
			return in.ID
		}
	}
	return ""
}
