package duct

// Hood is a kind of air inlet by its name in the system file.
type Hood struct {
	Name   string
	Loss   float64 // entry loss as a multiple of the duct's velocity pressure
	What   string
	Source string
	Status string // read, quoted, or value from memory
}

const hoodSource = "ACGIH, Industrial Ventilation, 24th ed. (2001), Fig. 3-16 and the hood-loss page, as reproduced in a public course hand-out"

var hoods = [...]Hood{
	{"plain", 0.93, "plain duct end", hoodSource, "quoted"},
	{"flanged", 0.49, "duct end with a flange", hoodSource, "quoted"},
	{"tapered", 0.40, "hood with a tapered take-off", hoodSource + " (OSHA 29 CFR 1910.94(b) has 0.45)", "quoted"},
	{"bellmouth", 0.04, "rounded bell mouth", hoodSource, "quoted"},
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

func hoodNames() []string {
	var out []string
	for _, h := range hoods {
		out = append(out, h.Name)
	}
	return out
}
