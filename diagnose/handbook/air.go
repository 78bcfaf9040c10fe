package handbook

import (
	"errors"
	"math"

	"lostair/diagnose/duct"
	"lostair/readings/units"
)

// Air is the state of the air that a model computes with.
type Air struct {
	Density   float64 // kg/m³
	Viscosity float64 // Pa·s
}

var errNoSuchAir = errors.New("air so hot and damp boils at that barometer; check temperature, humidity, and altitude or pressure")

// AirOf works out the air of a page. Where its water vapour alone would press
// harder than the barometer there is no such air.
func AirOf(a duct.Air) (Air, error) {
	T, rho := standardTemperature, StandardDensity
	if !a.Standard {
		p := a.Barometer
		if p == 0 {
			p = Barometer(a.Altitude)
		}
		if a.Humidity*SaturationPressure(a.Temperature) >= p {
			return Air{}, errNoSuchAir
		}
		T, rho = a.Temperature, Density(a.Temperature, p, a.Humidity)
	}
	return Air{Density: rho, Viscosity: Viscosity(T)}, nil
}

// DensityWith is the density of a page's air with what was read of it on a day
// in its place; false if there is no such air.
func DensityWith(a duct.Air, read func(units.Quantity) (float64, bool)) (float64, bool) {
	t, p, h := a.Temperature, a.Barometer, a.Humidity
	if a.Standard {
		t = standardTemperature
	}
	if p == 0 {
		p = Barometer(a.Altitude)
	}
	for _, x := range []struct {
		q  units.Quantity
		to *float64
	}{{units.AirTemperature, &t}, {units.Barometer, &p}, {units.Humidity, &h}} {
		if v, ok := read(x.q); ok {
			*x.to = v
		}
	}
	if p <= 0 || t <= 0 || h < 0 || h*SaturationPressure(t) >= p {
		return 0, false
	}
	return Density(t, p, h), true
}

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
	e, a, b, c, d := cipmEnhancement, cipmAir, cipmMixed, cipmVapour, cipmSquares
	f := e[0] + e[1]*p + e[2]*t*t
	xv := h * f * SaturationPressure(T) / p
	z := 1 - p/T*(a[0]+a[1]*t+a[2]*t*t+(b[0]+b[1]*t)*xv+(c[0]+c[1]*t)*xv*xv) + p*p/(T*T)*(d[0]+d[1]*xv*xv)
	return p * molarAir / (z * molarGas * T) * (1 - xv*(1-molarWater/molarAir))
}

// SaturationPressure is the vapour pressure of water over liquid, Pa (CIPM-2007 A1.1).
func SaturationPressure(T float64) float64 {
	k := cipmSaturation
	return math.Exp(k[0]*T*T + k[1]*T + k[2] + k[3]/T)
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
