package handbook

import (
	"math"

	"lostair/diagnose/duct"
)

// Local losses, each as a factor K on a velocity pressure.

// elbowSmooth and elbowGored are the losses of 90° round elbows by R/D.
// ACGIH Industrial Ventilation for R/D 1.5 to 2.5 (value from memory); the
// rows below 1.5 are ASHRAE's die-stamped and five-gore elbows (value from
// memory).
var (
	elbowSmooth = []point{{0.5, 0.71}, {0.75, 0.33}, {1.0, 0.22}, {1.5, 0.15}, {2.0, 0.13}, {2.5, 0.12}}
	elbowGored  = []point{{0.5, 0.98}, {0.75, 0.46}, {1.0, 0.33}, {1.5, 0.24}, {2.0, 0.19}, {2.5, 0.17}}
)

// ElbowLoss returns K of a round elbow of angle rad and radius R/D. Other
// angles than 90° are in proportion (60° two thirds, 45° half, 30° a third:
// quoted from ACGIH). Gored elbows are made of segments, smooth ones are
// drawn, stamped or moulded.
func ElbowLoss(angle, radius float64, gored bool) float64 {
	t := elbowSmooth
	if gored {
		t = elbowGored
	}
	return at(t, radius) * angle / (math.Pi / 2)
}

// entryTable is the branch-entry loss on the branch's velocity pressure by
// angle in degrees: ACGIH Industrial Ventilation, value from memory.
var entryTable = []point{{0, 0}, {10, 0.06}, {15, 0.09}, {20, 0.12}, {25, 0.15}, {30, 0.18}, {35, 0.21},
	{40, 0.25}, {45, 0.28}, {50, 0.32}, {60, 0.44}, {90, 1.00}}

// EntryLoss returns K of a branch that enters at an angle in rad.
func EntryLoss(angle float64) float64 { return at(entryTable, angle*180/math.Pi) }

// SectionLoss returns K, on the velocity pressure of the smaller of the two
// ducts, of a change of area from a to b in the direction of flow.
// Abrupt: Borda–Carnot when it widens, 0.5 (1 − b/a) when it narrows.
func SectionLoss(a, b float64, abrupt bool) float64 {
	switch {
	case a < b:
		k := (1 - a/b) * (1 - a/b)
		if !abrupt {
			k *= expansionShare
		}
		return k
	case a > b && abrupt:
		return abruptInward * (1 - b/a)
	case a > b:
		return contractionK
	}
	return 0
}

// gateTable is the loss of a blade with a round edge in a round duct by share of
// travel open: Idelchik, Handbook of Hydraulic Resistance, gates in round pipes
// (value from memory). That table begins at 12.5 % and ends in 0 wide open. The
// rows at 2 and 5 % (up to gateExtrapolated) are our own extrapolation: they lie
// between thin orifices of the openings that a round-edged and a straight-edged
// blade leave. That at 100 % is our own choice too: charts give 0 to 0.08.
var gateTable = []point{{0.004, 220000}, {0.02, 8000}, {0.05, 1200}, {0.125, 97.8}, {0.2, 35}, {0.3, 10}, {0.4, 4.6}, {0.5, 2.06}, {0.6, 0.98}, {0.7, 0.44}, {0.8, 0.17}, {0.9, 0.06}, {1, 0.02}}

// gateExtrapolated is the travel below which no published row lies.
const gateExtrapolated = 0.125

// GateLoss returns what a gate adds to its loss when wide open if only a share
// of its travel (0..1) is open.
func GateLoss(travel float64) float64 {
	least, open := gateTable[0].x, gateTable[len(gateTable)-1]
	travel = min(max(travel, least), 1)
	return atLog(gateTable, travel) - open.y*travel
}

// ShutLoss returns K of a shut gate that leaves an area open in a bore: an
// orifice of the contract's discharge coefficient.
func ShutLoss(bore, area float64) float64 {
	r := bore / (DischargeCoefficient * max(area, 1e-9))
	return r * r
}

// BlockageLoss returns K of a sharp-edged restriction that leaves a share
// (0..1] of the bore open: Idelchik, Handbook of Hydraulic Resistance, thin
// orifice in a straight pipe, ζ = (0.707 (1−f)^0.375 + 1 − f)²/f² (value from
// memory).
func BlockageLoss(closed float64) float64 {
	f := max(1-closed, leastOpen)
	if f >= 1 {
		return 0
	}
	a := (blockageEdge*math.Pow(1-f, blockagePower) + 1 - f) / f
	return a * a
}

// FittingLoss sums a duct's bends and its free losses.
func FittingLoss(d *duct.Duct) (bends, free float64) {
	for _, f := range d.Fittings {
		if f.Elbow {
			bends += float64(f.Count) * ElbowLoss(f.Angle, f.Radius, gored(d.Material))
		} else {
			free += float64(max(f.Count, 1)) * f.Loss
		}
	}
	return bends, free
}

// gored says whether bends of this material are made of segments.
func gored(material string) bool { return material == "galvanised" || material == "spiral" }

// OpeningLoss is K, on the velocity pressure of a duct of such a bore, of the
// step between a machine's own port and its duct.
func OpeningLoss(p *duct.Port, bore float64) float64 {
	if p.Opening == nil {
		return 0
	}
	a := p.Opening.Area()
	k := SectionLoss(a, bore, true)
	if a < bore {
		k *= bore / a * bore / a // from the velocity pressure of the opening
	}
	return k
}

// InletLoss is K, on the velocity pressure in a bore, of an opening of that
// area through which as much air passes: an orifice of the contract's discharge
// coefficient.
func InletLoss(bore, area float64) float64 { return ShutLoss(bore, area) }
