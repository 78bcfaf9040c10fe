package edit

import (
	"math"
	"strconv"

	"lostair/diagnose/duct/systemfile"
	"lostair/readings/units"
)

// WithTap is a system file with one more tap: a hole in a duct, so many metres from the
// duct's upstream end. A tap of that id which is there already moves. An error is a
// problem.List if the file would not be good with it, or ErrShape.
func WithTap(data []byte, name, ductID, tap string, at float64) (*File, error) {
	f, err := Open(data, name)
	if err != nil {
		return nil, err
	}
	sys, list := systemfile.Load(data, name)
	if err := list.Err(); err != nil {
		return nil, err
	}
	i := f.Root.Get("ducts").Row(ductID)
	if i < 0 {
		return nil, ErrShape
	}
	there := strconv.FormatFloat(math.Round(1e4*units.Length.FromSI(sys.Units, at))/1e4, 'f', -1, 64)
	change := Set(At("ducts", i, "taps", tap), there)
	if f.Root.Get("ducts").Rows[i].Get("taps").Form == Empty {
		change = Set(At("ducts", i, "taps"), Row(Scalar(tap), there))
	}
	if f, err = f.Apply(change); err != nil {
		return nil, err
	}
	_, list = systemfile.Load(f.Bytes(), name)
	return f, list.Err()
}
