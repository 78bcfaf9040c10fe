package html

import (
	"slices"
	"strconv"

	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/readings"
	"lostair/report"
	"lostair/report/drawing"
	"lostair/report/figure"
	"lostair/report/show"
)

// suspect is a fault of the system as the page and its drawing show it.
type suspect struct {
	Number string
	report.Fault
	Size string // the severity's interval
}

// suspects numbers the faults of the system in the order of the text report,
// wrong rows apart.
func suspects(r *report.Result) []suspect {
	main, narrow, _ := report.Sorted(r.Faults)
	var out []suspect
	for i, f := range append(main, narrow...) {
		s := suspect{Number: strconv.Itoa(i + 1), Fault: f}
		if f.Severity != nil {
			s.Size = show.Unbroken(show.Pretty(show.Minus(show.WithSpan(*f.Severity))))
		}
		out = append(out, s)
	}
	return out
}

// where is the place of suspects on the drawing.
type where struct {
	badges map[int][]drawing.Badge // by duct
	notes  map[int][]string        // by duct, in words
	zones  []figure.Zone
	parts  map[string][]string // numbers by part of the collector
	about  []string            // notes on the collector
	chance map[seatOf]float64  // of what is at one spot of a duct
}

// locate finds where each suspect sits.
func locate(s *duct.System, list []suspect) *where {
	w := &where{badges: map[int][]drawing.Badge{}, notes: map[int][]string{}, parts: map[string][]string{}, chance: map[seatOf]float64{}}
	gates := map[string]int{}
	for i := range s.Ducts {
		if g := s.Ducts[i].Gate; g != "" {
			gates[g] = i
		}
	}
	for _, x := range list {
		z := figure.Zone{Number: x.Number}
		for _, c := range append([]report.Candidate{x.Candidate}, x.Alike...) {
			note := signOf(shareOf(x.Fault, c)) + x.Number
			note += ": " + show.Percent(shareOf(x.Fault, c)) + " likely, " + c.Name // a long name may be cut
			d, spot := seat(s, gates, c)
			if d < 0 {
				if name := part(c); name != "" {
					w.parts[name] = appendNew(w.parts[name], x.Number)
					w.about = append(w.about, note)
				}
				continue
			}
			w.notes[d] = append(w.notes[d], note)
			b := drawing.Badge{Number: x.Number, Spot: spot}
			w.chance[seatOf{d, b}] += shareOf(x.Fault, c)
			w.badges[d] = appendNew(w.badges[d], b)
			switch spot {
			case drawing.AtGate:
				z.Spots = append(z.Spots, "the gate "+c.Where)
			case drawing.AtPort:
				z.Spots = append(z.Spots, "the hood of "+c.Where)
			default:
				z.Ducts = appendNew(z.Ducts, d)
			}
		}
		if len(z.Ducts)+len(z.Spots) > 0 {
			w.zones = append(w.zones, z)
		}
	}
	return w
}

func appendNew[T comparable](list []T, x T) []T {
	if slices.Contains(list, x) {
		return list
	}
	return append(list, x)
}

// seat is the duct on which a candidate is drawn, and where on it; -1: none.
func seat(s *duct.System, gates map[string]int, c report.Candidate) (int, drawing.Spot) {
	switch c.Kind {
	case fault.GateRestricted.String(), fault.GateLeaking.String():
		if d, ok := gates[c.Where]; ok {
			return d, drawing.AtGate
		}
		return -1, drawing.Along
	}
	if d, ok := s.DuctNamed(c.Where); ok {
		return d, drawing.Along
	}
	if p, ok := s.PortNamed(c.Where); ok {
		return s.Ports[p].Duct, drawing.AtPort
	}
	return -1, drawing.Along
}

// part is the part of the collector in which a candidate sits, "": none.
func part(c report.Candidate) string {
	switch c.Where {
	case readings.Bin, readings.Filter, "fan":
		return c.Where
	}
	return ""
}

// shareOf is a member's share of its group's chance.
func shareOf(f report.Fault, c report.Candidate) float64 {
	if len(f.Alike) == 0 {
		return f.Together
	}
	return f.Shown(c)
}

// surer is the chance from which a suspect's mark is full.
const surer = 0.25

// signOf is the mark before a suspect's note, full as its number on the duct is.
func signOf(chance float64) string {
	if chance >= surer {
		return "◆"
	}
	return "◇"
}

// grade is how a suspect's number on a duct is drawn: full from a quarter of all
// chance on, hollow below a tenth.
func (w *where) grade(d int, b drawing.Badge) string {
	switch p := w.chance[seatOf{d, b}]; {
	case p >= surer:
		return ""
	case p >= 0.1:
		return "some"
	}
	return "few"
}

// seatOf is a suspect's number at one spot of a duct.
type seatOf struct {
	duct int
	drawing.Badge
}
