package handbook

// Numbers that the model computes with. Facts lists each with its source.
const (
	zeroCelsius        = 273.15
	molarGas           = 8.314472    // J/(mol·K)
	molarWater         = 18.01528e-3 // kg/mol
	molarAir           = 28.96546e-3 // kg/mol, at 400 ppm of CO₂
	sutherlandBeta     = 1.458e-6
	sutherlandS        = 110.4
	standardPressure   = 101325.0
	atmosphereHeight   = 44329.0
	atmosphereExponent = 5.255876

	StandardDensity     = 1.204
	standardTemperature = 293.15

	laminarEnd     = 2000.0
	turbulentStart = 4000.0

	DischargeCoefficient = 0.61 // of a hole; fixed by the contract
	LeakageExponent      = 0.65
	LeakageClass         = 0.0156e-3 // m³/s per m² at 1 Pa
	LeakSmooth           = 0.01      // Pa: keeps the law of a hole differentiable at no suction

	GateOpenLoss   = 0.15
	GateShutShare  = 0.004 // open area left, as share of the bore
	contractionK   = 0.05  // gradual, on the smaller duct's velocity pressure
	expansionShare = 0.40  // of Borda–Carnot, gradual
	abruptInward   = 0.5

	blockageEdge  = 0.707 // of the contraction behind a sharp edge
	blockagePower = 0.375
	leastOpen     = 0.001 // share of the bore that any blockage leaves open

	colebrookRough  = 3.7
	colebrookSmooth = 2.51
	laminarFactor   = 64.0 // f = 64/Re

	fanPastEnd   = 1e-3 // least fall of the curve past its last point, of its first pressure over its last flow
	fanBackwards = 0.1  // fall before the first point, as share of that past the last

	// a fan without a curve
	fanPower     = 2.5    // it falls by this power of its flow
	motorTurns   = 48.3   // turns a second under load, two poles at 50 Hz
	motorTurnsUS = 57.5   // at 60 Hz
	wheelSuction = 0.70   // most suction over density × rim speed²
	motorToAir   = 0.50   // best air power over the nameplate's
	inletAir     = 36.0   // most air over the area of the inlet, m/s
	inletSuction = 2200.0 // Pa

	// its motor
	IdleShare   = 0.45  // of the power at most air, at no flow
	idleCurrent = 0.40  // of the current at full load, of an idle motor
	motorYield  = 0.85  // power delivered over power taken, and the power factor
	mainsVolts  = 230.0 // a single phase

	// The bin stands between what is before and behind the cyclone, nearer to
	// the core of its vortex, which ends in the outlet. No measurement was found.
	BinShare = 0.25

	centreSlope   = 1.326 // centre/mean velocity = 1 + centreSlope √f
	laminarCentre = 2.0   // the same when laminar
	mouthProfile  = 0.5   // share of that excess at a port's mouth: midway from flat to developed
)

// Coefficients of CIPM-2007 (equations A1.1 to A1.4), at temperatures T in K
// and t in °C, pressure p in Pa.
var (
	cipmSaturation  = [...]float64{1.2378847e-5, -1.9121316e-2, 33.93711047, -6.3431645e3}
	cipmEnhancement = [...]float64{1.00062, 3.14e-8, 5.6e-7}
	cipmAir         = [...]float64{1.58123e-6, -2.9331e-8, 1.1043e-10}
	cipmMixed       = [...]float64{5.707e-6, -2.051e-8}
	cipmVapour      = [...]float64{1.9898e-4, -2.376e-6}
	cipmSquares     = [...]float64{1.83e-11, -0.765e-8}
)
