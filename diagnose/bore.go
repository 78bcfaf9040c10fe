package diagnose

import (
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/observe"
	"lostair/readings/units"
)

// A duct that was measured across (inside_diameter) is as wide as it measures: all is
// worked out with that, and the page, where it says otherwise, is told to be wrong.

// BoreSure is how sure it is that a duct which measures another size than its page is
// of that size, and BoreSpread how far the measure may be off, as a share, in nine of
// ten. Common practice, no source.
const (
	BoreSure   = 0.97
	BoreSpread = 0.03
)

// Measured are the ducts that aren't as wide as their page says, by who measured them.
func Measured(sys *duct.System, bores []observe.Bore) []fault.Written {
	var out []fault.Written
	size := func(v, spread float64) *fault.Size {
		return &fault.Size{Quantity: fault.Across, Dimension: units.Diameter, Value: v, Low: v * (1 - spread), High: v * (1 + spread)}
	}
	for _, b := range bores {
		out = append(out, fault.Written{Kind: fault.AsBuilt, Where: sys.Ducts[b.Duct].ID, Probability: BoreSure, Together: BoreSure,
			Says: size(b.Page, 0), Behaves: size(b.Is, BoreSpread), Reason: fault.ByMeasure})
	}
	return out
}
