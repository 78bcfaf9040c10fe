package round

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct"
	"lostair/diagnose/plan"
	"lostair/readings/units"
)

func TestTapSaid(t *testing.T) {
	sys := &duct.System{Units: units.Metric, Ducts: []duct.Duct{{ID: "run", Length: 4}, {ID: "run 2", Length: 4}, {ID: "drop", Length: 2}}}
	asked := &plan.NewTap{Duct: "drop", At: 0.2}
	for _, x := range []struct {
		text string
		from *plan.NewTap
		want plan.NewTap
	}{
		{"run 1.2 m", nil, plan.NewTap{Duct: "run", At: 1.2}},
		{" run 2  1,2", nil, plan.NewTap{Duct: "run 2", At: 1.2}},
		{"drop 50 cm", nil, plan.NewTap{Duct: "drop", At: 0.5}},
		{"", asked, *asked},
		{"drop", asked, *asked},
		{"0.4", asked, plan.NewTap{Duct: "drop", At: 0.4}},
		{"run 1", asked, plan.NewTap{Duct: "run", At: 1}},
	} {
		got, err := TapSaid(sys, x.text, x.from)
		require.NoError(t, err, x.text)
		assert.Equal(t, x.want.Duct, got.Duct, x.text)
		assert.InDelta(t, x.want.At, got.At, 1e-12, x.text)
	}
	for _, text := range []string{"", "1.2 m", "hall 1", "run", "runway 1", "run far", "run 1 Pa"} {
		_, err := TapSaid(sys, text, nil)
		assert.Error(t, err, text)
	}
	_, err := TapSaid(sys, "run", asked)
	assert.Error(t, err, "how far is not said")
}

// FuzzTapSaid: whatever is said of a hole, it is in a duct that is there and at a number,
// or it is an error.
func FuzzTapSaid(f *testing.F) {
	for _, s := range []string{"run 1.2 m", "drop", "", "0,5", "run 1e999", "run -1", "run NaN", "drop 4' 6\"", "run\t1"} {
		f.Add(s)
	}
	sys := &duct.System{Units: units.US, Ducts: []duct.Duct{{ID: "run", Length: 4}, {ID: "drop", Length: 2}}}
	f.Fuzz(func(t *testing.T, text string) {
		for _, from := range []*plan.NewTap{nil, {Duct: "drop", At: 0.2}} {
			at, err := TapSaid(sys, text, from)
			if err != nil {
				continue
			}
			_, there := sys.DuctNamed(at.Duct)
			assert.True(t, there)
			assert.False(t, math.IsNaN(at.At) || math.IsInf(at.At, 0))
		}
	})
}
