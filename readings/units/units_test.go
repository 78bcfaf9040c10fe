package units

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func everyDimension() []Dimension {
	var out []Dimension
	for d := range dimensions {
		out = append(out, Dimension(d))
	}
	return out
}

// The digits are those printed in NIST SP 811 (2008), B.8 and B.9, in seven
// figures; digits from memory. "exact" ones follow from a definition.
func TestFactors(t *testing.T) {
	for _, c := range []struct {
		d      Dimension
		symbol string
		si     float64
		tol    float64 // relative
	}{
		{Length, "mm", 0.001, 0},
		{Length, "cm", 0.01, 0},
		{Length, "m", 1, 0},
		{Length, "in", 0.0254, 0}, // exact
		{Length, "ft", 0.3048, 0}, // exact
		{Flow, "m3/h", 2.777778e-4, 1e-6},
		{Flow, "m3/min", 1.666667e-2, 1e-6},
		{Flow, "m3/s", 1, 0},
		{Flow, "L/s", 1e-3, 0},
		{Flow, "L/min", 1.666667e-5, 1e-6},
		{Flow, "cfm", 4.719474e-4, 1e-6},
		{Pressure, "Pa", 1, 0},
		{Pressure, "hPa", 100, 0},
		{Pressure, "kPa", 1000, 0},
		{Pressure, "mbar", 100, 0},
		{Pressure, "bar", 1e5, 0},
		{Pressure, "inH2O", 249.08891, 0}, // conventional
		{Pressure, "mmH2O", 9.80665, 0},   // conventional
		{Pressure, "cmH2O", 98.0665, 0},   // conventional
		{Pressure, "inHg", 3.386389e3, 1e-6},
		{Pressure, "mmHg", 1.333224e2, 1e-6},
		{Pressure, "psi", 6.894757e3, 1e-6},
		{Velocity, "m/s", 1, 0},
		{Velocity, "m/min", 1.0 / 60, 1e-15},
		{Velocity, "km/h", 2.777778e-1, 1e-6},
		{Velocity, "fpm", 5.08e-3, 1e-15}, // exact
		{Velocity, "ft/s", 0.3048, 0},     // exact
		{Velocity, "mph", 4.4704e-1, 1e-15},
		{Density, "kg/m3", 1, 0},
		{Density, "lb/ft3", 1.601846e1, 1e-6},
		{Area, "mm2", 1e-6, 0},
		{Area, "cm2", 1e-4, 0},
		{Area, "m2", 1, 0},
		{Area, "in2", 6.4516e-4, 1e-15},   // exact
		{Area, "ft2", 9.290304e-2, 1e-15}, // exact
		{Roughness, "um", 1e-6, 0},
		{Share, "%", 0.01, 0},
		{Multiple, "x", 1, 0},
		{MotorSize, "W", 1, 0},
		{MotorSize, "kW", 1000, 0},
		{Power, "hp", 7.456999e2, 1e-6}, // of 550 ft·lbf/s
		{Power, "PS", 7.354988e2, 1e-6}, // metric horsepower
		{Current, "A", 1, 0},
		{Current, "mA", 1e-3, 0},
		{Rotation, "rpm", 1.666667e-2, 1e-6}, // in turns a second
		{Rotation, "Hz", 1, 0},
		{Roughness, "ft", 0.3048, 0}, // exact
		{Temperature, "K", 1, 0},     // of a kelvin
	} {
		v, err := Parse("1 "+c.symbol, c.d, Metric)
		require.NoError(t, err, c.symbol)
		assert.Equal(t, c.symbol, v.Unit)
		assert.InDelta(t, c.si, v.SI, c.tol*c.si, c.symbol)
	}
}

// The conventional water and mercury columns hang together: 25.4 mm to the
// inch, mercury of 13.5951 times the density of water (NIST SP 811, B.8).
func TestColumnsAgree(t *testing.T) {
	assert.InEpsilon(t, 25.4*mmH2O, inH2O, 1e-15)
	assert.InEpsilon(t, 13.5951*mmH2O, mmHg, 1e-15)
	assert.InEpsilon(t, 25.4*mmHg, inHg, 1e-15)
	assert.InEpsilon(t, foot*foot*foot, foot3, 1e-15)
}

// Fixed points of the scales: NIST SP 811, B.8 (t/degC = (t/degF - 32)/1.8,
// T/K = t/degC + 273.15).
func TestTemperature(t *testing.T) {
	for _, c := range []struct {
		text string
		k    float64
	}{
		{"0 degC", 273.15}, {"32 degF", 273.15}, {"212 °F", 373.15}, {"100 °C", 373.15},
		{"-40 C", 233.15}, {"-40 F", 233.15}, {"-459.67 degF", 0}, {"-273.15 degC", 0}, {"19", 292.15},
	} {
		v, err := Parse(c.text, Temperature, Metric)
		require.NoError(t, err, c.text)
		assert.InDelta(t, c.k, v.SI, 1e-12, c.text)
	}
	for _, text := range []string{"-273.16 degC", "-459.68 degF", "-0.001 K"} {
		_, err := Parse(text, Temperature, Metric)
		assert.Equal(t, OutOfRange, faultIn(t, err), text)
	}
}

// Values of the project's check list that are conversions at heart.
func TestPublishedConversions(t *testing.T) {
	si := func(text string, d Dimension) float64 {
		v, err := Parse(text, d, Metric)
		require.NoError(t, err, text)
		return v.SI
	}
	in := func(v float64, d Dimension, symbol string) float64 {
		out, err := Convert(v, d, symbol)
		require.NoError(t, err)
		return out
	}
	// NAVFAC MO-114 vol. 3 ch. 2, Q2-3 and Q2-4: 18 x 20 in. is 2.5 ft2; 400 fpm through it are 1,000 cfm.
	area := si("18 in", Length) * si("20 in", Length)
	assert.InEpsilon(t, 2.5, in(area, Area, "ft2"), 1e-14)
	assert.InEpsilon(t, 1000, in(area*si("400 fpm", Velocity), Flow, "cfm"), 1e-14)
	// ABIH equation sheet 2017: V[fpm] = 4005 sqrt(VP[in.]) and V[m/s] = 1.29 sqrt(VP[Pa]) are one.
	k := si("4005 fpm", Velocity) / math.Sqrt(si("1 inH2O", Pressure))
	assert.InDelta(t, 1.2891, k, 0.00005)
	// The same sheet's density form, 1096 to 1097 sqrt(VP/rho) in lb/ft3; constants differ by 0.1 %.
	k = in(math.Sqrt(2*si("1 inH2O", Pressure)/si("1 lb/ft3", Density)), Velocity, "fpm")
	assert.InEpsilon(t, 1097, k, 0.001)
	// EPA Method 2 worked in both systems: 4,011 fpm and 20.375 m/s (recomputed, 0.01 %).
	assert.InEpsilon(t, 20.375, si("4011 fpm", Velocity), 1e-4)
	// SMACNA class 1 (1 cfm/100 ft2 at 1 in.) is 0.0014068e-3 m3/s per m2 at 1 Pa, exponent 0.65 (recomputed).
	cl := si("1 cfm", Flow) / si("100 ft2", Area) / math.Pow(si("1 inH2O", Pressure), 0.65)
	assert.InEpsilon(t, 0.0014068e-3, cl, 5e-5)
}

// What people write; every spelling is common practice, no source.
func TestSpellings(t *testing.T) {
	for _, c := range []struct {
		d       Dimension
		want    string
		written string // separated by |
	}{
		{Diameter, "mm", "mm|MM|millimetres"},
		{Diameter, "in", `in|"|inch|inches|in.|IN|″|”|''`},
		{Length, "ft", "ft|'|feet|FT|ft.|′|’"},
		{Length, "m", "m|M|metres|meter"},
		{Flow, "m3/h", "m3/h|m³/h|m^3/h|m**3/h|M3/H|cmh|m3/hr|m³ / h"},
		{Flow, "L/s", "L/s|l/s|l / s|L/S|lps"},
		{Flow, "cfm", "cfm|CFM|ft3/min|ft³/min|cu ft/min|cu. ft./min"},
		{Pressure, "Pa", "Pa|pa|PA|N/m²"},
		{Pressure, "inH2O", `inH2O|inWC|in wg|"wc|in. w.g.|IN. W.C.|inches H₂O|inches of water|inch wg|″ w.g.|in h2o|inH20`},
		{Pressure, "mmH2O", "mmH2O|mmWC|mm w.g.|mm wc|mm of water"},
		{Pressure, "inHg", `inHg|in. Hg|"Hg|inches of mercury`},
		{Velocity, "m/s", "m/s|M/S|m/sec"},
		{Velocity, "fpm", "fpm|FPM|ft/min|ft / min|feet per minute"},
		{Velocity, "km/h", "km/h|kmh|KPH"},
		{Temperature, "degC", "degC|°C|C|c|deg C|º C|℃|Celsius"},
		{Temperature, "degF", "degF|°F|F|f|deg. F|℉"},
		{Temperature, "K", "K|k|Kelvin"},
		{Density, "kg/m3", "kg/m3|kg/m³|kg/m^3|KG/M3"},
		{Density, "lb/ft3", "lb/ft3|lb/ft³|lbm/ft3|lb/cu ft|pcf"},
		{Area, "cm2", "cm2|cm²|cm^2|sq cm"},
		{Area, "in2", "in2|in²|sq in|sq. in."},
		{Area, "m2", "m2|m²"},
		{Roughness, "um", "um|µm|μm|micron"},
		{Share, "%", "%|％|percent"},
		{Multiple, "x", "x|X|×|times"},
	} {
		for _, s := range strings.Split(c.written, "|") {
			for _, text := range []string{"2.5" + s, "2.5 " + s, " 2,5\u00a0" + s + " "} {
				v, err := Parse(text, c.d, US)
				if assert.NoError(t, err, text) {
					assert.Equal(t, c.want, v.Unit, text)
					assert.True(t, v.Explicit, text)
					want, _ := ParseIn("2.5", c.d, c.want)
					assert.Equal(t, want.SI, v.SI, text)
				}
			}
		}
	}
}

// A spelling that fold changes would never be found, and one that two units
// share would be read as the first.
func TestTableIsSound(t *testing.T) {
	for _, d := range everyDimension() {
		seen := map[string]string{}
		for _, u := range dimensions[d].units {
			for _, s := range append([]string{fold(u.symbol)}, u.spelled...) {
				assert.Equal(t, fold(s), s, "%v %v", d, u.symbol)
				if other, taken := seen[s]; taken {
					assert.Equal(t, u.symbol, other, "%v: %q", d, s)
				}
				seen[s] = u.symbol
			}
			assert.Positive(t, u.num/u.den, u.symbol)
		}
		for _, s := range []System{Metric, US} {
			_, ok := Lookup(d.Symbol(s), d)
			assert.True(t, ok, "%v %v", d, s)
		}
		assert.NotEmpty(t, d.String())
	}
}

// The table of formats: what a bare number means.
func TestBareNumber(t *testing.T) {
	for _, c := range []struct {
		d          Dimension
		metric, us string
	}{
		{Number, "", ""}, {Diameter, "mm", "in"}, {Length, "m", "ft"}, {Flow, "m3/h", "cfm"}, {Pressure, "Pa", "inH2O"},
		{Velocity, "m/s", "fpm"}, {Temperature, "degC", "degF"}, {Density, "kg/m3", "lb/ft3"}, {Area, "cm2", "in2"},
		{Roughness, "mm", "ft"}, {Share, "%", "%"}, {Multiple, "x", "x"},
	} {
		for s, symbol := range map[System]string{Metric: c.metric, US: c.us} {
			v, err := Parse("7", c.d, s)
			require.NoError(t, err)
			assert.Equal(t, symbol, c.d.Symbol(s))
			assert.Equal(t, Value{SI: c.d.ToSI(s, 7), Text: "7", Unit: symbol}, v)
			back, err := Convert(v.SI, c.d, symbol)
			require.NoError(t, err)
			assert.InEpsilon(t, 7, back, 1e-13)
		}
	}
}

func TestNumbers(t *testing.T) {
	for _, c := range []struct {
		text string
		want float64
	}{
		{"0", 0}, {"-1180", -1180}, {"+5", 5}, {"−12.5", -12.5}, {"–12.5", -12.5}, {".5", 0.5}, {"5.", 5}, {",5", 0.5},
		{"1,5", 1.5}, {"-1,25", -1.25}, {"0,500", 0.5}, {"1500,250", 1500.25}, {"1,5000", 1.5}, {"1.500", 1.5}, {"1e3", 1000},
		{"1,5e−2", 0.015}, {"  7\t", 7}, {"00012", 12},
	} {
		v, err := Parse(c.text, Pressure, Metric)
		if assert.NoError(t, err, c.text) {
			assert.Equal(t, c.want, v.SI, c.text)
			assert.Equal(t, strings.TrimSpace(c.text), v.Text)
			assert.False(t, v.Explicit)
		}
	}
}

func faultIn(t *testing.T, err error) Fault {
	t.Helper()
	var e *Error
	require.ErrorAs(t, err, &e)
	return e.Fault
}

func TestErrors(t *testing.T) {
	const pressures = "use Pa, hPa, kPa, mbar, bar, inH2O, mmH2O, cmH2O, inHg, mmHg or psi"
	for _, c := range []struct {
		text  string
		d     Dimension
		fault Fault
		want  string
	}{
		{"", Flow, Empty, "the flow is missing; write a number, like 2.5 or 2.5 m3/h"},
		{" ", Number, Empty, "the number is missing; write a number, like 2.5"},
		{"high", Pressure, NotANumber, `"high" is not a decimal number; write a number, like 2.5 or 2.5 Pa`},
		{"NaN", Pressure, NotANumber, `"NaN" is not a decimal number; write a number, like 2.5 or 2.5 Pa`},
		{"-Inf", Pressure, NotANumber, `"-Inf" is not a decimal number; write a number, like 2.5 or 2.5 Pa`},
		{"- 5", Pressure, NotANumber, `"- 5" is not a decimal number; write a number, like 2.5 or 2.5 Pa`},
		{"1,500", Pressure, Ambiguous, `"1,500" can be read in two ways; write 1500 or 1.500`},
		{"-1,180 Pa", Pressure, Ambiguous, `"-1,180 Pa" can be read in two ways; write -1180 or -1.180`},
		{"−1,180", Pressure, Ambiguous, `"−1,180" can be read in two ways; write -1180 or -1.180`},
		{"1,500.2", Pressure, NotANumber, `"1,500.2" has more than one decimal sign; write the number without signs of thousands, like 1500.5`},
		{"1.500,2", Pressure, NotANumber, `"1.500,2" has more than one decimal sign; write the number without signs of thousands, like 1500.5`},
		{".5.5", Pressure, NotANumber, `".5.5" has more than one decimal sign; write the number without signs of thousands, like 1500.5`},
		{"1 500", Pressure, NotANumber, `"1 500" is not one decimal number; write it without gaps, fractions or signs of thousands, like 1500 or 2.5`},
		{"2 1/2 mm", Diameter, NotANumber, `"2 1/2 mm" is not one decimal number; write it without gaps, fractions or signs of thousands, like 1500 or 2.5`},
		{"1_000", Pressure, NotANumber, `"1_000" is not one decimal number; write it without gaps, fractions or signs of thousands, like 1500 or 2.5`},
		{"5-6", Pressure, NotANumber, `"5-6" is not one decimal number; write it without gaps, fractions or signs of thousands, like 1500 or 2.5`},
		{"0x10", Pressure, UnknownUnit, `"x10" is not a unit of pressure; ` + pressures},
		{"12 mm", Pressure, UnknownUnit, `"mm" is a unit of length, not of pressure; a column of water is written mmH2O; ` + pressures},
		{`4"`, Pressure, UnknownUnit, "‘\"’ is a unit of length, not of pressure; a column of water is written inH2O; " + pressures},
		{"4 Pa", Diameter, UnknownUnit, `"Pa" is a unit of pressure, not of length; use mm, cm, m, in or ft`},
		{"4 furlongs", Length, UnknownUnit, `"furlongs" is not a unit of length; use mm, cm, m, in or ft`},
		{"4 m", Number, UnknownUnit, `this number has no unit, yet "m" follows it; write the number alone`},
		{"4 mPa", Pressure, UnknownUnit, `"mPa" is not a unit of pressure; ` + pressures},
		{"1e400", Pressure, OutOfRange, `"1e400" is too large a number; check the number`},
		{"1e306 kPa", Pressure, OutOfRange, `"1e306 kPa" is too large a number; check the number`},
		{"-1e306 kPa", Pressure, OutOfRange, `"-1e306 kPa" is too large a number; check the number`},
		{"-300", Temperature, OutOfRange, `"-300" is colder than absolute zero; check the number and its unit`},
	} {
		v, err := Parse(c.text, c.d, Metric)
		if assert.Error(t, err, c.text) {
			assert.Equal(t, c.want, err.Error())
			assert.Equal(t, c.fault, faultIn(t, err), c.text)
		}
		assert.Zero(t, v, c.text)
	}
	_, err := Convert(1, Velocity, "knots")
	assert.Equal(t, UnknownUnit, faultIn(t, err))
	_, err = ParseIn("1", Velocity, "Pa")
	assert.Equal(t, UnknownUnit, faultIn(t, err))
}

func TestFormat(t *testing.T) {
	for _, c := range []struct {
		text string
		d    Dimension
		s    System
		want string
	}{
		{"150 mm", Diameter, Metric, "150 mm"},
		{"4 in", Diameter, Metric, "102 mm"},
		{"4 in", Diameter, US, "4 in"},
		{"1250 m3/h", Flow, Metric, "1250 m3/h"},
		{"999.6 m3/h", Flow, Metric, "1000 m3/h"},
		{"99.96 m/s", Velocity, Metric, "100 m/s"},
		{"-4.78 inH2O", Pressure, US, "-4.78 inH2O"},
		{"-1180.4 Pa", Pressure, Metric, "-1180 Pa"},
		{"0", Pressure, Metric, "0 Pa"},
		{"1", Pressure, Metric, "1 Pa"},
		{"-0", Pressure, Metric, "0 Pa"},
		{"-0.0000001", Pressure, Metric, "0 Pa"},
		{"21.4", Velocity, Metric, "21.4 m/s"},
		{"1.2041", Density, Metric, "1.204 kg/m3"},
		{"0.075 lb/ft3", Density, US, "0.075 lb/ft3"},
		{"15", Share, US, "15 %"},
		{"0.1", Share, US, "0.1 %"},
		{"2.3", Multiple, Metric, "2.3 x"},
		{"0.49", Number, Metric, "0.49"},
		{"68 degF", Temperature, Metric, "20 degC"},
		{"0.0003 ft", Roughness, US, "0.0003 ft"},
	} {
		v, err := Parse(c.text, c.d, c.s)
		require.NoError(t, err)
		assert.Equal(t, c.want, Format(v.SI, c.d, c.s), c.text)
		assert.Equal(t, strings.TrimSpace(strings.TrimSuffix(c.want, c.d.Symbol(c.s))), FormatBare(v.SI, c.d, c.s))
	}
	// Digits by hand: 1 and 12.3456 to four figures where the table of the package says
	// so, to three elsewhere; six places behind the point at most.
	for _, d := range everyDimension() {
		want := map[bool]string{true: "12.35", false: "12.3"}[d == Number || d == Density || d == Rotation]
		for _, s := range []System{Metric, US} {
			assert.Equal(t, want, FormatBare(d.ToSI(s, 12.3456), d, s), "%v", d)
			assert.Equal(t, "0.000012", FormatBare(Pressure.ToSI(s, 0.0000123456), Pressure, s))
		}
	}
	assert.Equal(t, "NaN", FormatBare(math.NaN(), Pressure, Metric))
	assert.Equal(t, "-Inf", FormatBare(math.Inf(-1), Pressure, Metric))
}

func TestQuantities(t *testing.T) {
	names := QuantityNames()
	assert.Equal(t, []string{"static_pressure", "suction", "velocity_pressure", "velocity", "centre_velocity", "flow", "pressure_drop",
		"total_pressure", "motor_current", "motor_power", "speed", "temperature", "barometer", "humidity"}, names)
	for _, n := range names {
		q, ok := QuantityNamed(n)
		assert.True(t, ok)
		assert.Equal(t, n, q.String())
		assert.NotEqual(t, Number, q.Dimension())
	}
	for _, n := range []string{"", "loudness"} {
		_, ok := QuantityNamed(n)
		assert.False(t, ok, n)
	}
	// What is read of the day's air and what at the motor, by the comments of the table;
	// a weather report gives a barometer in hPa or in inches of mercury (common practice,
	// no source).
	for _, n := range names {
		q, _ := QuantityNamed(n)
		assert.Equal(t, n == "temperature" || n == "barometer" || n == "humidity", q.OfAir(), n)
		assert.Equal(t, n == "motor_current" || n == "motor_power" || n == "speed", q.OfMotor(), n)
		metric, us := q.Dimension().Symbol(Metric), q.Dimension().Symbol(US)
		if n == "barometer" {
			metric, us = "hPa", "inHg"
		}
		assert.Equal(t, metric, q.Symbol(Metric), n)
		assert.Equal(t, us, q.Symbol(US), n)
	}
	assert.Equal(t, "metric", Metric.String())
	assert.Equal(t, "us", US.String())
}

// A kelvin is a kelvin, and a number without a unit itself.
func TestUnitsThatAreTheirOwn(t *testing.T) {
	v, err := Parse("293.15 K", Temperature, Metric)
	require.NoError(t, err)
	require.Equal(t, 293.15, v.SI)
	k, err := Convert(293.15, Temperature, "K")
	require.NoError(t, err)
	require.Equal(t, 293.15, k)
	n, err := Parse("1.5", Number, US)
	require.NoError(t, err)
	require.Equal(t, 1.5, n.SI)
	_, err = Convert(1, Temperature, "furlong")
	require.Error(t, err)
}

// An inch is 25.4 mm (exact), however it is written; what does not compare has no ratio.
func TestRatio(t *testing.T) {
	assert.InEpsilon(t, 25.4, Ratio("in", "mm", Diameter), 1e-12)
	assert.InEpsilon(t, 1/25.4, Ratio("mm", "in", Diameter), 1e-12)
	assert.Zero(t, Ratio("in", "Pa", Diameter))
	assert.Zero(t, Ratio("Pa", "in", Diameter))
}

// A file's control characters stay out of what is printed, and long text is cut.
func TestErrorsShowNoControlCharacters(t *testing.T) {
	for text, shown := range map[string]string{"a\x07b": "a\uFFFDb", "a\x1fb": "a\uFFFDb", "a\x7fb": "a\uFFFDb", "a b~": "a b~", "a\xffb": "a\uFFFDb",
		strings.Repeat("x", 40): strings.Repeat("x", 40), strings.Repeat("x", 41): strings.Repeat("x", 40) + "…"} {
		_, err := Parse(text, Pressure, Metric)
		assert.EqualError(t, err, `"`+shown+`" is not a decimal number; write a number, like 2.5 or 2.5 Pa`)
	}
}

// A tape in feet shows feet and inches.
func TestFeetAndInches(t *testing.T) {
	for text, inches := range map[string]float64{"12 ft 6 in": 150, `12' 6"`: 150, `6'4"`: 76, "6 ft 4.5 in": 76.5, "0 ft 8 in": 8, "6 ft 4 1/2 in": 76.5, `6'4-1/2"`: 76.5, "3 feet 2 inches": 38, "12 ft 6 1/2 in": 150.5, "10 ft 0 in": 120, "65535 ft 11 in": 786431} {
		for _, d := range []Dimension{Length, Diameter} {
			v, err := Parse(text, d, Metric)
			require.NoError(t, err, text)
			assert.InDelta(t, inches*0.0254, v.SI, 1e-12, text)
			assert.Equal(t, text, v.Text)
			assert.True(t, v.Explicit)
		}
	}
	for _, text := range []string{"6 ft 12 in", "6 ft 4", "6.5 ft 4 in", "-6 ft 4 in", "6 in 4 ft", "6 m 4 in", "6 ft 4 in 2", "6 ft 12 1/2 in", "6 ft -4 in", "ft 4 in"} {
		_, err := Parse(text, Length, US)
		assert.Error(t, err, text)
	}
	_, err := Parse("6 ft 4 in", Pressure, US)
	assert.Error(t, err)
}

// A tape in inches shows halves down to sixty-fourths.
func TestOnATape(t *testing.T) {
	for text, inches := range map[string]float64{"3 1/2": 3.5, "2-1/2": 2.5, "5/8": 0.625, "2-1/2 in": 2.5, `12 3/4"`: 12.75, "63/64": 0.984375, "999 1/2": 999.5} {
		v, err := Parse(text, Diameter, US)
		require.NoError(t, err, text)
		assert.InDelta(t, inches*0.0254, v.SI, 1e-12, text)
		assert.Equal(t, text, v.Text)
		assert.Equal(t, strings.ContainsAny(text, `in"`), v.Explicit, text)
	}
	v, err := Parse("3 1/2", Length, US)
	require.NoError(t, err)
	assert.InDelta(t, 3.5*0.3048, v.SI, 1e-12)
	v, err = Parse("2-1/2 in", Diameter, Metric)
	require.NoError(t, err)
	assert.InDelta(t, 0.0635, v.SI, 1e-12)
	for _, text := range []string{"3 2/1", "1/0", "0/2", "2-", "2-1", "1/2 Pa", "-1/2", "1.5 1/2", "1/2/3", "2 1/2 mm", "1/2 of it", "1000 1/2", "5000 1/2"} {
		_, err := Parse(text, Diameter, US)
		assert.Error(t, err, text)
	}
	_, err = Parse("2-1/2", Diameter, Metric)
	assert.Error(t, err)
	_, err = Parse("3 1/2", Pressure, US)
	assert.Error(t, err)
}

// X5: an answer that takes 0.196 ft² for m². The units table keeps them apart:
// in m² it is a flow of 1.38 m³/s only if the area is written so.
func TestSquareFeetAreNotSquareMetres(t *testing.T) {
	a, err := Parse("0.196 ft2", Area, US)
	require.NoError(t, err)
	require.InDelta(t, 0.018209, a.SI, 5e-7)
	bare, err := Parse("0.196", Area, US)
	require.NoError(t, err)
	require.NotEqual(t, a.SI, bare.SI, "a bare area is in in2")
}
