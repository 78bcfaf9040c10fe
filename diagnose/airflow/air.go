package airflow

import "math"

// Density returns the density of moist air in kg/m³.
//
//	T kelvin, p pascal, h relative humidity 0..1
//
// The formula is CIPM-2007 with 400 ppm of CO₂: A. Picard, R. S. Davis,
// M. Gläser, K. Fujii, Metrologia 45 (2008) 149–155, equations (1) and (A1.1)
// to (A1.4). Coefficients: value from memory, checked against the values in
// testdata/published.
func Density(T, p, h float64) float64 {
	t := T - zeroCelsius
	psv := saturation(T)
	f := 1.00062 + 3.14e-8*p + 5.6e-7*t*t
	xv := h * f * psv / p
	z := 1 - p/T*(1.58123e-6-2.9331e-8*t+1.1043e-10*t*t+(5.707e-6-2.051e-8*t)*xv+(1.9898e-4-2.376e-6*t)*xv*xv) +
		p*p/(T*T)*(1.83e-11-0.765e-8*xv*xv)
	const molarAir = 28.96546e-3 // kg/mol at 400 ppm CO₂
	return p * molarAir / (z * molarGas * T) * (1 - xv*(1-molarWater/molarAir))
}

// saturation is the vapour pressure of water over liquid, Pa (CIPM-2007 A1.1).
func saturation(T float64) float64 {
	return math.Exp(1.2378847e-5*T*T - 1.9121316e-2*T + 33.93711047 - 6.3431645e3/T)
}

// Viscosity returns the dynamic viscosity of air in Pa·s at T kelvin, by
// Sutherland's formula with the constants of the U.S. Standard Atmosphere 1976.
func Viscosity(T float64) float64 {
	return sutherlandBeta * T * math.Sqrt(T) / (T + sutherlandS)
}

// Barometer returns the pressure of the standard atmosphere, Pa, at an
// altitude in m (U.S. Standard Atmosphere 1976, lower layer).
func Barometer(altitude float64) float64 {
	return standardPressure * math.Pow(1-altitude/atmosphereHeight, atmosphereExponent)
}
