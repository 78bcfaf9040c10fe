package trade

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/readings/units"
)

// A machine is known by the words people have for it and by its size in any unit.
func TestUsualOf(t *testing.T) {
	for text, want := range map[string]string{
		"planer 12 in":                "a planer (knives to 13 in) usually needs 400 to 500 cfm",
		`12" thicknesser`:             "a planer (knives to 13 in) usually needs 400 to 500 cfm",
		"Planer, 305 mm":              "a planer (knives to 13 in) usually needs 400 to 500 cfm",
		"planer 13":                   "a planer (knives to 13 in) usually needs 400 to 500 cfm",
		"planer 13.1":                 "a planer (knives over 13 to 20 in) usually needs 500 to 800 cfm",
		"20-inch planer":              "a planer (knives over 13 to 20 in) usually needs 500 to 800 cfm",
		"planer":                      "a planer usually needs 400 to 1100 cfm",
		"surface planer 8 in":         "a jointer (knives to 8 in) usually needs 350 to 450 cfm",
		"Band-Saw":                    "a bandsaw usually needs 350 to 800 cfm",
		"over_blade guard of the saw": "an over-blade guard usually needs 100 to 200 cfm",
		"edge sander (6 in)":          "an edge sander (belt to 6 in) usually needs 350 to 550 cfm",
		"spindle sander":              "a spindle sander usually needs 200 to 350 cfm",
		"spindle":                     "a shaper usually needs 350 to 600 cfm",
		"bench grinder, 10 in wheels": "a grinding wheel (wheel over 9 to 16 in) usually needs at least 390 cfm",
	} {
		u, ok := UsualOf(text, units.US)
		if assert.True(t, ok, text) {
			assert.Equal(t, want, u.Says(units.US), text)
		}
	}
	u, ok := UsualOf("planer 300", units.Metric)
	require.True(t, ok)
	require.Equal(t, "a planer (knives to 330 mm) usually needs 680 to 850 m3/h", u.Says(units.Metric))
	for _, text := range []string{"", "saw", "planers' bench", "planer 40 in", "explorer", "12 in"} {
		_, ok := UsualOf(text, units.US)
		assert.False(t, ok, text)
	}
}

// The rows of a kind follow one another without a gap, larger needs no less air, and
// each has its source; no name means two kinds.
func TestUsualsHoldTogether(t *testing.T) {
	kinds, last := map[string]string{}, Usual{}
	for _, u := range Usuals() {
		require.NotEmpty(t, u.Source)
		require.NotEmpty(t, u.Status)
		require.True(t, u.Low > 0 && u.Low <= u.High && u.HoodLow > 0 && u.HoodLow <= u.HoodHigh, u.Kind)
		for _, name := range append([]string{u.Kind}, u.also...) {
			if of, taken := kinds[Fold(name)]; taken {
				require.Equal(t, of, u.Kind, name)
			}
			kinds[Fold(name)] = u.Kind
		}
		if u.Kind == last.Kind {
			require.Equal(t, last.To, u.Over, u.Kind)
			require.GreaterOrEqual(t, u.Low, last.Low, u.Kind)
			require.GreaterOrEqual(t, u.High, last.High, u.Kind)
		} else {
			require.Zero(t, u.Over, u.Kind)
		}
		require.Equal(t, u.Size == "", u.To == 0, u.Kind)
		last = u
	}
	Usuals()[0].Low = 0
	require.NotZero(t, Usuals()[0].Low)
}
