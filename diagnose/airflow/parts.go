package airflow

// What a part of the model is: each is uncertain in its own way.
type What uint8

const (
	Hood        What = iota // entry loss of a port
	PlainEnd                // entry loss of a port with its machine unhooked
	Friction                // factor on a segment's friction
	Bends                   // bends of a duct
	FreeLoss                // free loss items of a duct
	Section                 // change of diameter
	Entry                   // what a leg loses at a join on its own velocity pressure
	Passage                 // what the main loses behind a join on its own velocity pressure
	Exchange                // momentum that a leg brings to a join
	OpenGate                // open gate
	ShutGate                // open area of a shut gate
	Seepage                 // background leakage
	FanSpeed                // speed
	FanPressure             // factor on the fan's pressure
	FanMostAir              // factor on the flow of the fan's curve
	FanShape                // factor on the power by which a guessed curve falls
	FanBend                 // what a guessed curve bulges towards its end
	FanTurns                // the fan's rated speed
	MotorFull               // electric power at most air
	MotorIdle               // share of it at no flow
	MotorAmps               // current at most air
	CycloneLoss             // factor on the cyclone's loss
	FilterLoss              // factor on the filter's clean loss
	BinShare                // where between the cyclone's ends the bin's pressure lies
	RoomInlets              // loss of the openings through which the shop gets its air
)

// Part is one contribution to one coefficient: the coefficient is the sum of
// its parts. As built, a part differs from its Base.
type Part struct {
	What What
	Slot Slot
	Base float64
	Duct int32 // index into Sys.Ducts, or -1
	Port int32 // index into Sys.Ports, or -1
	Gate int32 // gate index, or -1
	// Apart is half of what published laws differ by, of parts that all go by
	// one law: an amount of K, or a share of the momentum.
	Apart float64
}

// Slot names one coefficient.
type Slot struct {
	Kind SlotKind
	Ix   int32 // segment, gate or port
}

// SlotKind is a field of Coefs.
type SlotKind uint8

const (
	SlotK SlotKind = iota
	SlotFriction
	SlotLeak
	SlotSeep
	SlotBring
	SlotGateOpen
	SlotGateArea
	SlotPlain
	SlotSpeed
	SlotPressure
	SlotMostAir
	SlotShape
	SlotBend
	SlotTurns
	SlotMotorFull
	SlotMotorIdle
	SlotMotorAmps
	SlotCyclone
	SlotFilter
	SlotBin
)

// Of returns the place of the coefficient in c.
func (s Slot) Of(c *Coefs) *float64 {
	switch s.Kind {
	case SlotK:
		return &c.K[s.Ix]
	case SlotFriction:
		return &c.Friction[s.Ix]
	case SlotLeak:
		return &c.Leak[s.Ix]
	case SlotSeep:
		return &c.Seep[s.Ix]
	case SlotBring:
		return &c.Bring[s.Ix]
	case SlotGateOpen:
		return &c.GateOpen[s.Ix]
	case SlotGateArea:
		return &c.GateArea[s.Ix]
	case SlotPlain:
		return &c.Plain[s.Ix]
	case SlotSpeed:
		return &c.Speed
	case SlotPressure:
		return &c.Pressure
	case SlotMostAir:
		return &c.MostAir
	case SlotShape:
		return &c.Shape
	case SlotBend:
		return &c.Bend
	case SlotTurns:
		return &c.Turns
	case SlotMotorFull:
		return &c.MotorFull
	case SlotMotorIdle:
		return &c.MotorIdle
	case SlotMotorAmps:
		return &c.MotorAmps
	case SlotCyclone:
		return &c.Cyclone
	case SlotBin:
		return &c.Bin
	}
	return &c.Filter
}
