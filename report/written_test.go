package report

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"lostair/report/finding"
)

// What behaves as it was written down is not said to be written down wrong; what is
// likelier than not is, and so is what a fault can't be told from.
func TestOnlyWhatContradictsIsToldAsWrittenWrong(t *testing.T) {
	like := func(v, low, high float64) *MeasureBetween {
		return &MeasureBetween{Measure: finding.Measure{Quantity: "losses", Value: v}, Low: low, High: high}
	}
	at := func(where string, p, together float64, b *MeasureBetween, alike ...Alike) Written {
		return Written{Kind: "as-built", Where: where, Probability: p, Together: together, Behaves: b, Alike: alike}
	}
	r := &Result{Page: []Written{
		at("sure", 0.7, 0.7, like(1.1, 0.9, 1.3)),
		at("filter", 0.2, 0.2, like(1.1, 0.88, 1.29)),
		at("hose", 0.1, 0.1, like(1.3, 1.1, 1.6)),
		at("drop", 0.04, 0.9, like(1.3, 0.6, 1.6), Alike{Kind: "leak", Where: "drop", Probability: 0.8}),
		{Kind: "as-built", Where: "fan", Probability: 0.06, Says: &finding.Measure{Quantity: "pressure", Value: 100}, Behaves: &MeasureBetween{Measure: finding.Measure{Quantity: "pressure", Value: 99}, Low: 94, High: 105}},
	}}
	names := func(list []Written) (out []string) {
		for _, w := range list {
			out = append(out, w.Where)
		}
		return out
	}
	assert.Equal(t, []string{"sure"}, names(r.WrittenDown(true)))
	assert.Equal(t, []string{"hose", "drop"}, names(r.WrittenDown(false)))
}
