package asbuilt

import (
	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/duct/trade"
)

// HoseFriction is the spread of a hose's friction: its own, and what the hoses of
// one shop share. It holds 0.9 mm, the roughness of flexible duct in newer
// tables, beside the 3 mm of older ones, two to three times the friction of
// smooth pipe, and the 1.6 times of ACGIH's hose with its wires covered.
var HoseFriction = spread{Own: 0.30, Family: 0.25, Losses: true}

// ClosedRoom is the spread of the loss of a room's inlets where no more is known of
// them than that the suction rises with a door open: from a draught that hardly
// matters to a shop whose every gap is sealed. Own choice.
var ClosedRoom = spread{Own: 1.2}

// GuessedDrop is how far a cyclone or a clean filter lies from what is taken for it where
// the file says only that it is there: nine in ten lose half to twice as much. Common
// practice, no source.
var GuessedDrop = spread{Own: 0.45}

// spreadOf is how a part differs from the page: that of its kind, or of what it is made of.
func spreadOf(s *duct.System, p airflow.Part) spread {
	out := Spreads[p.What]
	switch p.What {
	case airflow.Hood:
		q := &s.Ports[p.Port]
		if v := trade.HoodSpread(q.Hood, q.Taper); v > 0 {
			out.Own = v
		}
	case airflow.Friction:
		if s.Ducts[p.Duct].Material == "flexible" {
			out = HoseFriction
		}
	case airflow.CycloneLoss:
		if c := s.Collector.Cyclone; c != nil && c.Guessed {
			out = GuessedDrop
		}
	case airflow.FilterLoss:
		if f := s.Collector.Filter; f != nil && f.Guessed {
			out = GuessedDrop
		}
	case airflow.RoomInlets:
		if s.Room.Guessed {
			out = ClosedRoom
		}
	}
	return out
}
