package plant

import (
	"math"

	"lostair/diagnose/duct"
	"lostair/readings/units"
)

// tool is an instrument as it can be bought: its limits, and the steps in
// which a person writes its readings down, in the file's units.
type tool struct {
	id            string
	measures      units.Dimension
	share         float64 // 95 %
	floor, floorU float64 // Pa or m/s, inH2O or fpm
	step, stepU   float64 // Pa or m/s, inH2O or fpm
}

// Made up to be like what is sold. Common practice, no source.
var tools = []tool{
	{"gauge", units.Pressure, 0.01, 3, 0.015, 1, 0.01},
	{"logger", units.Pressure, 0.005, 2, 0.01, 1, 0.01},
	{"tube", units.Pressure, 0.015, 12, 0.05, 5, 0.05},
	{"magnetic-dial", units.Pressure, 0.03, 20, 0.08, 10, 0.05},
	{"fine", units.Pressure, 0.01, 1, 0.004, 0.5, 0.002},
	{"propeller", units.Velocity, 0.03, 0.2, 40, 0.1, 10},
	{"hot-tip", units.Velocity, 0.05, 0.15, 30, 0.1, 10},
	{"cheap-vane", units.Velocity, 0.06, 0.4, 80, 0.1, 10},
}

func toolNamed(id string) (tool, bool) {
	for _, t := range tools {
		if t.id == id {
			return t, true
		}
	}
	return tool{}, false
}

// Meter is what a survey's readings of one kind are taken with.
type Meter struct {
	ID           string
	Dim          units.Dimension
	share, Floor float64 // 95 % limits: of the reading; at least
	Step         float64 // in which readings are written, SI
}

// Meters where the file names none: the errors that a careful reader would
// suppose of a water manometer and a hand-held anemometer.
func anyMeter(d units.Dimension, u units.System) Meter {
	t := tool{"", units.Pressure, 0.02, 10, 0.04, 1, 0.01}
	if d == units.Velocity {
		t = tool{"", units.Velocity, 0.04, 0.3, 60, 0.1, 10}
	}
	return t.meter(u)
}

func (t tool) meter(u units.System) Meter {
	m := Meter{ID: t.id, Dim: t.measures, share: t.share, Floor: t.floor, Step: t.step}
	if u == units.US {
		m.Floor, m.Step = t.measures.ToSI(u, t.floorU), t.measures.ToSI(u, t.stepU)
	}
	return m
}

// Meters gives what a system's pressures, velocity pressures and velocities
// are read with.
func Meters(s *duct.System) (pressure, fine, velocity Meter) {
	pressure, velocity = anyMeter(units.Pressure, s.Units), anyMeter(units.Velocity, s.Units)
	seen := map[units.Dimension]bool{}
	found := false
	for _, in := range s.Instruments {
		m := anyMeter(in.Measures, s.Units)
		if t, ok := toolNamed(in.ID); ok {
			m = t.meter(s.Units)
		}
		m.ID, m.share, m.Floor = in.ID, in.OfReading, in.Floor
		switch {
		case in.Measures == units.Velocity && !seen[in.Measures]:
			velocity = m
		case in.Measures == units.Pressure && !seen[in.Measures]:
			pressure = m
		case in.Measures == units.Pressure:
			fine, found = m, true
		}
		seen[in.Measures] = true
	}
	if !found {
		fine = pressure
	}
	return pressure, fine, velocity
}

// Normal95 is the 97.5 % point of the normal distribution.
const Normal95 = 1.959963984540054

// Sigma is one standard deviation of a reading y; per is the bore where y is a
// flow, else 1.
func (m Meter) Sigma(y, per float64) float64 {
	return max(m.share*math.Abs(y), m.Floor*per) / Normal95
}
