package bench

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"lostair/diagnose/duct"
	"lostair/diagnose/duct/trade"
	"lostair/readings/units"
)

// slide is what a value may be that is dragged to.
type slide struct {
	Values []string
	At     int // where it stands
}

// List is the values as the page's script reads them.
func (s *slide) List() string { return strings.Join(s.Values, "|") }

func (s *slide) Last() int { return len(s.Values) - 1 }

// at is the value at a place; "" where there is none.
func (s *slide) at(place string) string {
	i, err := strconv.Atoi(place)
	if err != nil || i < 0 || i > s.Last() {
		return ""
	}
	return s.Values[i]
}

// slideOf is what a key of a change may be set to by dragging, from where it is in the
// file, or at value; nil for what has no order or no natural ends.
func slideOf(sys *duct.System, key, value string) *slide {
	i := strings.LastIndex(key, ".")
	id, name := key[:max(i, 0)], key[i+1:]
	var s *slide
	switch name {
	case "diameter", "inlet":
		now := sys.Collector.Inlet
		if d, ok := sys.DuctNamed(id); ok && name == "diameter" {
			now = sys.Ducts[d].Diameter
		}
		s = &slide{}
		best := math.Inf(1)
		for k, x := range trade.Sizes(sys.Units) {
			s.Values = append(s.Values, units.Format(x, units.Diameter, sys.Units))
			if off := math.Abs(x - now); off < best {
				s.At, best = k, off
			}
		}
	case "blockage":
		s = steps(0, 95, 5, 0, "%.0f %%")
	case "travel":
		s = steps(5, 100, 5, 100, "%.0f %%")
	case "fan":
		s = steps(50, 120, 2, 100, "%.0f %%")
	case "filter", "cyclone":
		s = steps(0.5, 8, 0.25, 1, "%gx")
	default:
		return nil
	}
	if k := slices.Index(s.Values, value); k >= 0 {
		s.At = k
	}
	return s
}

// steps are values from one to another.
func steps(from, to, by, now float64, form string) *slide {
	s := &slide{}
	for k := range int(math.Round((to-from)/by)) + 1 {
		x := from + float64(k)*by
		s.Values = append(s.Values, fmt.Sprintf(form, x))
		if math.Abs(x-now) < by/2 {
			s.At = k
		}
	}
	return s
}
