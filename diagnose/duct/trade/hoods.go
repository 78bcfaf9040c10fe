package trade

import "lostair/readings/units"

// Hood is a kind of air inlet by its name in the system file.
type Hood struct {
	Name   string
	Loss   float64 // entry loss as a multiple of the duct's velocity pressure
	What   string
	Source string
	Status string // read, quoted, or value from memory
	// Spread is how far a built hood of this kind may lie from Loss, of the
	// logarithm; 0: as any hood.
	Spread float64
	// Taper is set if the loss goes by the hood's included angle, once that is given.
	Taper []TaperLoss
}

const hoodSource = "ACGIH, Industrial Ventilation, 24th ed. (2001), Fig. 3-16 and the hood-loss page, as reproduced in a public course hand-out"

const (
	grindingSource = hoodSource + ", typical grinding hood (OSHA 29 CFR 1910.94(b) has 0.65 and 0.45)"
	// Of twenty hoods of 90° the losses lay between 0.17 and 1.85: McLoone,
	// Guffey and Curran, Am. Ind. Hyg. Assoc. J. 54 (1993) 87–94 (abstract read).
	taperedSource = "between the chart's 0.15 to 0.25 for 90 degrees and the middle (0.56) of what McLoone, Guffey and Curran 1993 measured on twenty such hoods, 0.17 to 1.85"
)

// taperedSpread holds both ends of what was measured within two standard
// deviations of 0.40; chartSpread holds them within three of the chart's values
// for that angle.
const (
	taperedSpread = 0.8
	chartSpread   = 0.9
)

var hoods = [...]Hood{
	{Name: "plain", Loss: 0.93, What: "plain duct end", Source: hoodSource, Status: "quoted"},
	{Name: "flanged", Loss: 0.49, What: "duct end with a flange", Source: hoodSource, Status: "quoted"},
	{Name: "tapered", Loss: 0.40, What: "tapered hood with a square or rectangular face; its angle says more",
		Source: taperedSource, Status: "own choice", Spread: taperedSpread, Taper: squareTapers},
	{Name: "cone", Loss: 0.15, What: "tapered hood with a round face; 90 degrees if it has no angle",
		Source: taperSource, Status: fromMemory, Spread: chartSpread, Taper: roundTapers},
	{Name: "bellmouth", Loss: 0.04, What: "rounded bell mouth", Source: hoodSource, Status: "quoted"},
	{Name: "grinding", Loss: 0.65, What: "grinding hood with a straight take-off", Source: grindingSource, Status: "quoted"},
	{Name: "grinding-tapered", Loss: 0.40, What: "grinding hood with a tapered take-off", Source: grindingSource, Status: "quoted"},
}

// Hoods lists the hoods that the system file knows by name.
func Hoods() []Hood { return append([]Hood(nil), hoods[:]...) }

// HoodNamed returns the hood of that name, or false.
func HoodNamed(name string) (Hood, bool) {
	for _, h := range hoods {
		if h.Name == name {
			return h, true
		}
	}
	return Hood{}, false
}

// HoodNames lists the names of the hoods.
func HoodNames() []string {
	var out []string
	for _, h := range hoods {
		out = append(out, h.Name)
	}
	return out
}

// EntryLoss is the hood's loss at an included angle, rad; 0: not given.
func (h *Hood) EntryLoss(angle float64) float64 {
	if angle == 0 || len(h.Taper) == 0 {
		return h.Loss
	}
	a := angle / units.Degree
	t := h.Taper
	if a <= t[0].Degrees {
		return t[0].Loss
	}
	for i := 1; i < len(t); i++ {
		if b := t[i]; a <= b.Degrees {
			w := (a - t[i-1].Degrees) / (b.Degrees - t[i-1].Degrees)
			return t[i-1].Loss + w*(b.Loss-t[i-1].Loss)
		}
	}
	return t[len(t)-1].Loss
}

// SpreadAt is how far a built hood may lie from that loss, of the logarithm; 0: as any hood.
func (h *Hood) SpreadAt(angle float64) float64 {
	if angle != 0 && len(h.Taper) > 0 {
		return chartSpread
	}
	return h.Spread
}

// HoodSpread is SpreadAt of a hood by its name.
func HoodSpread(name string, angle float64) float64 {
	h, _ := HoodNamed(name)
	return h.SpreadAt(angle)
}

// TaperedHoods lists the hoods that have an angle.
func TaperedHoods() []string {
	var out []string
	for _, h := range hoods {
		if len(h.Taper) > 0 {
			out = append(out, h.Name)
		}
	}
	return out
}
