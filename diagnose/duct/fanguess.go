package duct

// FanKnown says how a fan is described.
type FanKnown uint8

const (
	ByCurve   FanKnown = iota
	ByEnds             // most air and most suction
	ByMotor            // motor and wheel
	ByNothing          // the readings alone tell
)

// FanGuessed is whether the fan's curve is our guess, by its motor and wheel or by
// nothing at all.
func (c *Collector) FanGuessed() bool { return c.FanKnown() >= ByMotor }

// FanKnown says what the file tells of the fan.
func (c *Collector) FanKnown() FanKnown {
	switch {
	case len(c.Curve) > 0:
		return ByCurve
	case c.Guess == nil:
		return ByNothing
	case c.Guess.Motor > 0:
		return ByMotor
	}
	return ByEnds
}
