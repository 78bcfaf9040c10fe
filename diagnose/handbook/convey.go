package handbook

import (
	"lostair/diagnose/duct"
	"lostair/readings/units"
)

// Convey is the slowest air that still carries the dust, and who says so.
type Convey struct {
	Branch, Main float64 // m/s
	Usual        float64 // m/s, what stands in where the file states none; 0: it states both
	Source       string  // of what the file states, or of Usual
}

// ConveyOf is the system's conveying velocities, or the usual ones.
func ConveyOf(sys *duct.System) Convey {
	c := Convey{Branch: sys.Limits.ConveyBranch, Main: sys.Limits.ConveyMain, Source: "by the system file"}
	if c.Branch > 0 && c.Main > 0 {
		return c
	}
	usual := UsualConvey
	if sys.Units == units.US {
		usual = UsualConveyUS
	}
	c.Usual, c.Source = usual, conveySource
	if c.Branch <= 0 {
		c.Branch = usual
	}
	if c.Main <= 0 {
		c.Main = usual
	}
	return c
}

// UsualConvey is the velocity that carries dust with wood shavings, m/s: round in
// the units of the file.
const (
	UsualConvey   = 20.0
	UsualConveyUS = 20.32 // 4000 fpm
	conveySource  = "about what HSG258 gives for dust with wood shavings (value from memory), and the upper end of the 2500 to 4000 fpm of OSHA's woodworking guidance"
)
