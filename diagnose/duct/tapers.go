package duct

// TaperLoss is a tapered hood's entry loss at an included angle.
type TaperLoss struct{ Degrees, Loss float64 }

const taperSource = "ACGIH, Industrial Ventilation, tapered hoods by included angle, face at least twice the duct's area"

// The chart of tapered hoods: with a round face, and with a square or rectangular
// one, whose wider angle counts. 180° is a duct butted to a flat plate.
var (
	roundTapers  = []TaperLoss{{15, 0.15}, {30, 0.08}, {45, 0.06}, {60, 0.08}, {90, 0.15}, {120, 0.26}, {150, 0.40}, {180, 0.50}}
	squareTapers = []TaperLoss{{15, 0.25}, {30, 0.16}, {45, 0.15}, {60, 0.17}, {90, 0.25}, {120, 0.35}, {150, 0.48}, {180, 0.50}}
)

// TaperSource says where the losses by angle come from, and how.
func TaperSource() (source, status string) { return taperSource, fromMemory }

// EntryLoss is the hood's loss at an included angle, rad; 0: not given.
func (h *Hood) EntryLoss(angle float64) float64 {
	if angle == 0 || len(h.Taper) == 0 {
		return h.Loss
	}
	a := angle / degree
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

// tapered lists the hoods that have an angle.
func tapered() []string {
	var out []string
	for _, h := range hoods {
		if len(h.Taper) > 0 {
			out = append(out, h.Name)
		}
	}
	return out
}

// taper holds a port's angle to its hood and to what is possible.
func (c *checker) taper(p *Port, m *portMarks, who string) {
	if p.Taper == 0 && m.find("angle") == nil {
		return
	}
	if h, ok := HoodNamed(p.Hood); !ok || len(h.Taper) == 0 {
		c.add(m.pos("angle"), who+" has an angle and no hood that tapers", "leave it out, or write hood: "+orList(tapered()))
		return
	}
	c.held(&m.marks, sectionNamed("ports").key("angle"), who, p.Taper)
}
