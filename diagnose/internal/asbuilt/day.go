package asbuilt

// Errors of a tap and of the profile at a tap. Common practice, no source: a
// burr or a hole off its place shifts a static pressure by a few hundredths of
// the velocity pressure there; a profile behind a bend is flatter or fuller
// than a developed one by some hundredths.
const (
	TapError      = 0.03
	ProfileError  = 0.05
	ProfileAtPort = 2.0   // times that at a port, where it is anything from flat to developed
	DensityOfDay  = 0.01  // weather and temperature on the day, of the air's density
	SpeedOfDay    = 0.005 // of the fan's speed
)
