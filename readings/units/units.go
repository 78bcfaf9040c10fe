// Package units converts between what people type and the SI values the
// program computes with. Units exist only at the edges: everything that has
// been through Parse is in m, m³/s, Pa, m/s, K, kg/m³ or m².
//
// The table in table.go is the only place that knows a conversion factor;
// help texts, errors, sheets and reports take symbols and factors from it.
package units

// System says what a bare number means.
type System uint8

const (
	Metric System = iota // mm, m, m3/h, Pa, m/s, degC
	US                   // in, ft, cfm, inH2O, fpm, degF
)

// String returns the name used in the system file.
func (s System) String() string {
	if s == US {
		return "us"
	}
	return "metric"
}

// Dimension is a physical quantity together with the unit that a bare number
// of it has: a duct's diameter and its length are both lengths, yet one is
// written in mm and the other in m.
type Dimension uint8

const (
	Number      Dimension = iota // no unit
	Diameter                     // mm | in
	Length                       // m | ft; also tap distance and altitude
	Flow                         // m3/h | cfm
	Pressure                     // Pa | inH2O
	Velocity                     // m/s | fpm
	Temperature                  // degC | degF
	Density                      // kg/m3 | lb/ft3
	Area                         // cm2 | in2
	Roughness                    // mm | ft
	Share                        // %: SI value 0..1
	Multiple                     // x: a multiple of something
	MotorSize                    // kW | hp: a motor by its nameplate
	Power                        // W, of a reading
	Current                      // A
	Rotation                     // rpm: SI value in turns a second
)

// Quantity is what a reading measures, by the names of the readings file.
type Quantity uint8

const (
	NoQuantity       Quantity = iota
	StaticPressure            // gauge, suction negative
	Suction                   // how far below the room, positive
	VelocityPressure          // positive
	MeanVelocity              // "velocity": mean over the duct
	CentreVelocity            // on the duct's axis
	FlowRate                  // "flow"
	PressureDrop              // across the filter, positive
	TotalPressure             // gauge: static and velocity pressure together
	MotorCurrent              // of the fan's motor
	MotorPower                // that it takes from the mains
	FanSpeed                  // "speed": turns of the fan's wheel
	AirTemperature            // "temperature" of the day
	Barometer                 // of the day, absolute
	Humidity                  // relative, of the day
)

type quantityRow struct {
	name string
	dim  Dimension
}

var quantities = [...]quantityRow{
	NoQuantity:       {"", Number},
	StaticPressure:   {"static_pressure", Pressure},
	Suction:          {"suction", Pressure},
	VelocityPressure: {"velocity_pressure", Pressure},
	MeanVelocity:     {"velocity", Velocity},
	CentreVelocity:   {"centre_velocity", Velocity},
	FlowRate:         {"flow", Flow},
	PressureDrop:     {"pressure_drop", Pressure},
	TotalPressure:    {"total_pressure", Pressure},
	MotorCurrent:     {"motor_current", Current},
	MotorPower:       {"motor_power", Power},
	FanSpeed:         {"speed", Rotation},
	AirTemperature:   {"temperature", Temperature},
	Barometer:        {"barometer", Pressure},
	Humidity:         {"humidity", Share},
}

// String returns the name used in the readings file.
func (q Quantity) String() string { return quantities[q].name }

// Dimension returns the dimension of q's value.
func (q Quantity) Dimension() Dimension { return quantities[q].dim }

// OfAir is whether q is of the air of the day, and not of the system.
func (q Quantity) OfAir() bool { return q == AirTemperature || q == Barometer || q == Humidity }

// OfMotor is whether q is read at the fan's shaft or its motor.
func (q Quantity) OfMotor() bool { return q == FanSpeed || q == MotorCurrent || q == MotorPower }

// QuantityNames lists the names in the readings file, in a fixed order.
func QuantityNames() []string {
	var out []string
	for _, q := range quantities[1:] {
		out = append(out, q.name)
	}
	return out
}

// QuantityNamed returns the quantity of that name, or false.
func QuantityNamed(name string) (Quantity, bool) {
	for i, q := range quantities {
		if i > 0 && q.name == name {
			return Quantity(i), true
		}
	}
	return NoQuantity, false
}
