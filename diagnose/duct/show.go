package duct

import (
	"math"
	"strconv"

	"lostair/readings/units"
)

// show writes a value in the file's unit system, with its unit.
func (c *checker) show(k *Key, v float64) string {
	if k.isAngle() {
		return brief(v/degree) + "°"
	}
	text := brief(k.Dim.FromSI(c.s.Units, v))
	if u := c.unit(k); u != "" {
		text += " " + u
	}
	return text
}

func (k *Key) isAngle() bool { return k.Form == Angle || k.Form == Mixed && k.Name == "enters" }

// unit is what a bare number of the key is in.
func (c *checker) unit(k *Key) string {
	if k.isAngle() {
		return ""
	}
	return k.Dim.Symbol(c.s.Units)
}

// bare reminds of what a number without a unit means.
func (c *checker) bare(k *Key) string {
	if u := c.unit(k); u != "" {
		return ", and a number without a unit is in " + u
	}
	return ""
}

// number writes an SI value so that it is read back exactly: in the unit
// system's own unit if some number of it does, else in the SI unit.
func (w *writer) number(v float64, d units.Dimension) string {
	u := d.FromSI(w.units, v)
	for _, near := range [...]float64{u, math.Nextafter(u, math.Inf(1)), math.Nextafter(u, math.Inf(-1))} {
		for digits := 1; digits <= 17; digits++ {
			x, err := strconv.ParseFloat(strconv.FormatFloat(near, 'g', digits, 64), 64)
			if err != nil {
				continue
			}
			t := decimal(x)
			if d == units.Share { // bare it would do, but 0.5 might be taken for a half
				t += "%"
			}
			if back, err := units.Parse(t, d, w.units); err == nil && back.SI == v {
				return t
			}
		}
	}
	if si := siUnit[d]; si != "" {
		return decimal(v) + " " + si
	}
	return decimal(u)
}

// siUnit are the units in which a number is its SI value.
var siUnit = map[units.Dimension]string{
	units.Diameter:    "m",
	units.Length:      "m",
	units.Flow:        "m3/s",
	units.Pressure:    "Pa",
	units.Velocity:    "m/s",
	units.Temperature: "K",
	units.Density:     "kg/m3",
	units.Roughness:   "m",
	units.Area:        "m2",
}
