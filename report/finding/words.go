package finding

import (
	"fmt"
	"math"

	"lostair/diagnose"
	"lostair/diagnose/duct/trade"
	"lostair/diagnose/fault"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report/show"
)

// Words put what a diagnosis found into words and into the reader's units.
type Words struct {
	D *diagnose.Result
	U units.System
}

// AtHood begins the name of a blockage that lies in no duct.
const AtHood = "a blockage at the hood of "

// Name is a fault as a noun phrase, with its place.
func (c Words) Name(k fault.Kind, where string) string {
	if k == fault.Leak && where == readings.Bin {
		return "a leak at the dust bin"
	}
	if k == fault.Blockage && c.isPort(where) {
		return AtHood + where
	}
	return show.Named(k, where)
}

func (c Words) isPort(id string) bool {
	if c.D.System == nil {
		return false
	}
	_, ok := c.D.System.PortNamed(id)
	return ok
}

// Remedy is what to do about a fault for which the diagnosis has no fix.
func Remedy(f diagnose.Fault) string {
	if f.Kind == fault.Leak && f.Where == readings.Bin {
		return show.BinWords
	}
	return show.KindWords(f.Kind).Do
}

// HowBad says a severity in words.
func (c Words) HowBad(f diagnose.Fault, s show.Interval) string {
	if f.Kind == fault.Undersized {
		return c.sizeToBuy(f)
	}
	text := fmt.Sprintf(show.KindWords(f.Kind).HowBad, show.InWord(s.Mid(), s.Unit))
	if f.Dimension == units.Area {
		hole := show.Interval{Value: c.across(f.Severity.Value), Low: c.across(f.Severity.Low), High: c.across(f.Severity.High)}
		text += ", as much as a round hole " + hole.Mid() + " " + units.Diameter.Symbol(c.U) + " across"
	}
	return text
}

// sizeToBuy says which standard size would do: nobody sells the exact one.
func (c Words) sizeToBuy(f diagnose.Fault) string {
	size, meets := 0.0, true
	for _, t := range c.D.TooSmall {
		switch {
		case t.Where != f.Where:
		case t.Buy == 0:
			meets = false
		case t.Buy > size:
			size, meets = t.Buy, t.Meets
		}
	}
	if !meets {
		return "no standard size is enough"
	}
	if size == 0 && c.D.System != nil { // the next above what would do
		for _, made := range trade.Sizes(c.D.System.Units) {
			if made >= f.Severity.Value*(1-1e-9) {
				size = made
				break
			}
		}
	}
	if size == 0 {
		size = f.Severity.Value
	}
	return fmt.Sprintf(show.KindWords(f.Kind).HowBad, show.WithUnit(show.Value(size, units.Diameter, c.U), units.Diameter.Symbol(c.U)))
}

// across is the diameter of a round hole of an area.
func (c Words) across(area float64) float64 {
	return units.Diameter.FromSI(c.U, 2*math.Sqrt(max(area, 0)/math.Pi))
}
