package airflow

import (
	"lostair/diagnose/duct"
)

// Convey is the slowest air that still carries the dust, and who says so.
type Convey struct {
	Branch, Main float64 // m/s
	Source       string
}

// ConveyOf is the system's conveying velocities, or the usual ones.
func ConveyOf(sys *duct.System) Convey {
	c := Convey{Branch: sys.Limits.ConveyBranch, Main: sys.Limits.ConveyMain, Source: "by the system file"}
	if c.Branch > 0 && c.Main > 0 {
		return c
	}
	c.Source = conveySource
	if c.Branch <= 0 {
		c.Branch = UsualConvey
	}
	if c.Main <= 0 {
		c.Main = UsualConvey
	}
	return c
}

// UsualConvey is the velocity that carries dust with wood shavings, m/s.
const (
	UsualConvey  = 20.0
	conveySource = "the system file states none; 20 m/s stands in: about what HSG258 gives for dust with wood shavings (value from memory), and the upper end of the 2500 to 4000 fpm of OSHA's woodworking guidance"
)
