package plant

import (
	"math"

	"lostair/diagnose/duct"
	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/trial/internal/dice"
	"lostair/readings/units"
)

var shopNames = []string{"Larch yard", "Old dairy works", "Stair makers", "Two barns joinery", "Canal side shop", "Window hall", "Chair row",
	"Drawer mill", "Upper loft", "Coach house", "Toy bench", "Door line"}

// New makes up a duct system of a number of ports (at least 1) in the given
// units, sized as a fitter would: most ports get what they need, some don't.
// It has been through Marshal and Load, so it is what a file would give. The
// result depends on the arguments alone. It panics if what it made is not a
// valid system, which would be a defect of this package.
func New(seed uint64, ports int, sys units.System) *duct.System {
	p := &planner{Dice: dice.New(seed, dice.StreamPlant), units: sys, s: &duct.System{Units: sys}}
	p.s.Name = dice.Pick(p.Dice, shopNames...)
	p.s.Air = p.air()
	p.leafs(max(ports, 1))
	p.build(duct.IntoCollector, 0, p.leaves, 0)
	p.collector()
	p.instruments()
	p.limits()
	p.finish()
	p.sizeFan()
	p.needs()
	return MustLoad(p.s)
}

// finish makes the system usable; what it can't be is a defect here.
func (p *planner) finish() {
	if err := p.s.Finish().Err(); err != nil {
		panic("trial: plant: " + err.Error())
	}
}

// MustLoad is a system as its file would give it; that it gives none would be a defect.
func MustLoad(s *duct.System) *duct.System {
	out, list := systemfile.Load(systemfile.Marshal(s), "system.yaml")
	if out == nil {
		panic("trial: plant: " + list.Error())
	}
	return out
}

func (p *planner) air() duct.Air {
	if p.Chance(0.1) {
		return duct.Air{Standard: true}
	}
	a := duct.Air{Temperature: 273.15 + math.Round(p.Between(4, 32)), Humidity: units.Share.ToSI(p.units, Round(p.Between(25, 85), 5))}
	if p.units == units.US {
		a.Temperature = units.Temperature.ToSI(p.units, math.Round(p.Between(40, 90)))
	}
	if p.Chance(0.2) {
		a.Barometer = neat(p.Between(90e3, 102e3), units.Pressure, p.units, 100, 0.1)
	} else {
		a.Altitude = neat(p.LogBetween(10, 1800), units.Length, p.units, 10, 50)
	}
	return a
}

// instruments chooses one manometer for taps, mostly a fine one for velocity
// pressures, and an anemometer; sometimes the file names none.
func (p *planner) instruments() {
	if p.Chance(0.08) {
		return
	}
	list := []string{dice.Pick(p.Dice, "gauge", "gauge", "logger", "tube", "magnetic-dial"), dice.Pick(p.Dice, "propeller", "propeller", "hot-tip", "cheap-vane")}
	if p.Chance(0.5) {
		list = append(list, "fine")
	}
	for _, id := range list {
		t, _ := toolNamed(id)
		in := duct.Instrument{ID: id, Measures: t.measures, OfReading: t.share, Floor: t.floor}
		if p.units == units.US {
			in.Floor = t.measures.ToSI(p.units, t.floorU)
		}
		p.s.Instruments = append(p.s.Instruments, in)
	}
}

func (p *planner) limits() {
	if !p.Chance(0.15) {
		p.s.Limits = duct.Limits{ConveyBranch: neat(20, units.Velocity, p.units, 0.5, 100), ConveyMain: neat(17.5, units.Velocity, p.units, 0.5, 100)}
	}
	if !p.Chance(0.15) {
		p.s.Uncertainty = duct.Uncertainty{Losses: dice.Pick(p.Dice, 0.1, 0.15, 0.15, 0.2), Fan: dice.Pick(p.Dice, 0.03, 0.04, 0.05), Filter: dice.Pick(p.Dice, 0.15, 0.2, 0.3)}
	}
}
