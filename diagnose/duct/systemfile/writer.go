package systemfile

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"

	"lostair/readings/units"
)

type writer struct {
	bytes.Buffer
	units units.System
}

func (w *writer) line(format string, args ...any) { fmt.Fprintf(w, format+"\n", args...) }

// row collects key: value pairs.
type row []string

func (r *row) put(key, value string) { *r = append(*r, key+": "+value) }

func (r row) String() string { return "{" + strings.Join(r, ", ") + "}" }

// degrees writes an angle so that it is read back exactly: in degrees if some
// number of them does, else in radians.
func degrees(rad float64) string {
	for digits := 1; digits <= 17; digits++ {
		x, _ := strconv.ParseFloat(strconv.FormatFloat(rad/units.Degree, 'g', digits, 64), 64)
		t := units.Decimal(x)
		if v, err := angle(t); err == nil && v == rad {
			return t
		}
	}
	return units.Decimal(rad) + " rad"
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
			t := units.Decimal(x)
			if d == units.Share { // bare it would do, but 0.5 might be taken for a half
				t += "%"
			}
			if back, err := units.Parse(t, d, w.units); err == nil && back.SI == v {
				return t
			}
		}
	}
	if si := siUnit[d]; si != "" {
		return units.Decimal(v) + " " + si
	}
	return units.Decimal(u)
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
