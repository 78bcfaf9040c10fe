package report

import (
	"testing"

	"lostair/report/show"

	"github.com/stretchr/testify/assert"
)

func TestAFactorInWords(t *testing.T) {
	for v, want := range map[float64]string{0.5: "0.5 times", 0.97: "slightly less than", 1.01: "slightly more than", 1.06: "about 6 % more than", 0.9: "about 10 % less than", 1.102: "about 10 % more than", 1.3: "1.3 times", 2.13: "2.1 times"} {
		assert.Equal(t, want, times(v))
	}
}

// What behaves as it was written down is not said to be written down wrong; what is
// likelier than not is, and so is what a fault can't be told from.
func TestOnlyWhatContradictsIsToldAsWrittenWrong(t *testing.T) {
	like := func(v, low, high float64) *MeasureBetween {
		return &MeasureBetween{Measure: Measure{Quantity: "losses", Value: v}, Low: low, High: high}
	}
	at := func(where string, p, together float64, b *MeasureBetween, alike ...Alike) Written {
		return Written{Kind: "as-built", Where: where, Probability: p, Together: together, Behaves: b, Alike: alike}
	}
	r := &Result{Page: []Written{
		at("sure", 0.7, 0.7, like(1.1, 0.9, 1.3)),
		at("filter", 0.2, 0.2, like(1.1, 0.88, 1.29)),
		at("hose", 0.1, 0.1, like(1.3, 1.1, 1.6)),
		at("drop", 0.04, 0.9, like(1.3, 0.6, 1.6), Alike{Kind: "leak", Where: "drop", Probability: 0.8}),
		{Kind: "as-built", Where: "fan", Probability: 0.06, Says: &Measure{Quantity: "pressure", Value: 100}, Behaves: &MeasureBetween{Measure: Measure{Quantity: "pressure", Value: 99}, Low: 94, High: 105}},
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

// The zero of an instrument is told in the digits that are known.
func TestAZeroThatIsOffInItsDigits(t *testing.T) {
	assert.Equal(t, "+9.9", signed(show.Interval{Value: 9.902, Low: 8.1, High: 11.7}))
	assert.Equal(t, "-10", signed(show.Interval{Value: -10.2, Low: -30, High: 9}))
}
