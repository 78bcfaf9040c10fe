package airflow

import "lostair/diagnose/handbook"

// Coefs are the numbers that a solve uses; everything that may differ from the
// page (as built, or by a fault) is one of them. Slices are by segment, but
// for GateOpen and GateArea (by gate).
type Coefs struct {
	K         []float64 // local losses on the segment's velocity pressure (hood, fittings, entry, blockage)
	Friction  []float64 // factor on the friction loss
	Leak      []float64 // open area of holes at the upstream node, m²
	Seep      []float64 // background leakage at the upstream node, m³/s at 1 Pa^0.65
	Bring     []float64 // factor on the momentum that the segment brings to a join
	GateOpen  []float64 // K of an open gate
	GateArea  []float64 // open area of a shut gate, m²
	Plain     []float64 // by port: K of the port with the machine unhooked
	Speed     float64   // fan speed, share of the curve's
	Pressure  float64   // factor on the fan's pressure
	MostAir   float64   // factor on the flow of the fan's curve
	Shape     float64   // factor on the power by which a guessed curve falls
	Bend      float64   // what a guessed curve bulges towards its end, share of most suction
	Turns     float64   // the fan's rated speed, 1/s
	MotorFull float64   // electric power at most air, W
	MotorIdle float64   // share of it at no flow
	MotorAmps float64   // current at most air, A
	Cyclone   float64   // factor on the cyclone's loss
	Filter    float64   // factor on the filter's clean loss
	Bin       float64   // share of the cyclone's loss by which the bin stands above what is behind the cyclone

	flat []float64 // what all the slices lie in
}

// fan is how the fan differs from its curve.
func (c *Coefs) fan() handbook.FanBuilt {
	return handbook.FanBuilt{Speed: c.Speed, MostAir: c.MostAir, Shape: c.Shape, Bend: c.Bend}
}

// bySegment is how many slices of Coefs are by segment.
const bySegment = 5

// Clone copies c.
func (c Coefs) Clone() Coefs {
	c.lay(append([]float64(nil), c.flat...))
	return c
}

// lay makes the slices parts of flat, in the order of SlotKind.
func (c *Coefs) lay(flat []float64) {
	c.flat = flat
	for _, s := range []*[]float64{&c.K, &c.Friction, &c.Leak, &c.Seep, &c.Bring, &c.GateOpen, &c.GateArea, &c.Plain} {
		n := len(*s)
		*s, flat = flat[:n:n], flat[n:]
	}
}

// Flat is all slices of c one after the other, to be read and changed by At.
func (c *Coefs) Flat() []float64 { return c.flat }
