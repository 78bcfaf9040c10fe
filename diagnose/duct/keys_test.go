package duct

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Every section that a key names is there, and the tables hang together.
func TestKeys(t *testing.T) {
	assert.Nil(t, Keys("no such section"))
	reached := map[string]bool{"": true}
	for _, name := range Sections() {
		seen := map[string]bool{}
		for _, k := range Keys(name) {
			assert.NotEmpty(t, k.What, "%s.%s", name, k.Name)
			assert.False(t, seen[k.Name], "%s.%s twice", name, k.Name)
			assert.LessOrEqual(t, k.Min, k.Max, "%s.%s", name, k.Name)
			seen[k.Name] = true
			if k.Section != "" {
				assert.NotNil(t, Keys(k.Section), "%s.%s", name, k.Name)
				reached[k.Section] = true
			}
			switch k.Form {
			case Inner, Rows, Pairs:
				assert.NotEmpty(t, k.Section, "%s.%s", name, k.Name)
			case Choice, Mixed, List:
				assert.NotEmpty(t, k.Choices, "%s.%s", name, k.Name)
			}
		}
	}
	for _, name := range Sections() {
		assert.True(t, reached[name], "no key leads to %q", name)
	}
}

// The tables are handed out as copies.
func TestTablesAreCopies(t *testing.T) {
	Keys("ducts")[0].Name = "x"
	Materials()[0].Name = "x"
	Hoods()[0].Name = "x"
	assert.Equal(t, "id", Keys("ducts")[0].Name)
	assert.Equal(t, "smooth", Materials()[0].Name)
	assert.Equal(t, "plain", Hoods()[0].Name)
}

// Entry losses: ACGIH, Industrial Ventilation, 24th ed. (2001), Fig. 3-16 and
// hood-loss page, quoted from a public course hand-out; that of a tapered hood
// without an angle is what files before the angle meant by it.
func TestHoods(t *testing.T) {
	for name, want := range map[string]float64{"plain": 0.93, "flanged": 0.49, "tapered": 0.40, "bellmouth": 0.04,
		"grinding": 0.65, "grinding-tapered": 0.40, "cone": 0.15} {
		h, ok := HoodNamed(name)
		assert.True(t, ok, name)
		assert.Equal(t, want, h.Loss, name)
		assert.Equal(t, want, h.EntryLoss(0), name)
		assert.NotEmpty(t, h.Source)
		assert.NotEmpty(t, h.Status)
	}
	_, ok := HoodNamed("funnel")
	assert.False(t, ok)
}

// Between the chart's angles a tapered hood's loss lies between its losses, and
// beyond its ends it is that of the end.
func TestTapersBetweenTheirAngles(t *testing.T) {
	square, _ := HoodNamed("tapered")
	plain, _ := HoodNamed("plain")
	for _, x := range []struct{ degrees, want float64 }{{1, 0.25}, {15, 0.25}, {22.5, 0.205}, {75, 0.21}, {180, 0.5}, {190, 0.5}} {
		assert.InDelta(t, x.want, square.EntryLoss(x.degrees*degree), 1e-9, "%g degrees", x.degrees)
	}
	assert.Equal(t, plain.Loss, plain.EntryLoss(1))
	assert.Zero(t, plain.SpreadAt(1))
	assert.Equal(t, taperedSpread, square.SpreadAt(0))
	assert.Equal(t, chartSpread, square.SpreadAt(1))
}

func TestMaterials(t *testing.T) {
	last := 0.0
	for _, m := range Materials() {
		assert.GreaterOrEqual(t, m.Roughness, last, "smoothest first")
		assert.NotEmpty(t, m.Source, m.Name)
		assert.NotEmpty(t, m.Status, m.Name)
		last = m.Roughness
	}
	m, ok := MaterialNamed("flexible")
	assert.True(t, ok)
	assert.Equal(t, 0.003, m.Roughness)
	_, ok = MaterialNamed("tin")
	assert.False(t, ok)
}

func TestReservedIDs(t *testing.T) {
	assert.Len(t, reservedIDs(), len(reserved))
	for _, id := range reservedIDs() {
		assert.NotEmpty(t, reserved[id], id)
	}
	assert.IsIncreasing(t, reservedIDs())
	for _, id := range append(reservedIDs(), "All", "aLL", "NONE") {
		assert.NotEmpty(t, meaning(id), id)
	}
	for _, id := range []string{"al", "Bin", "allen"} {
		assert.Empty(t, meaning(id), id)
	}
}

// reservedIDs lists the ids that no duct, port, tap or gate may have, sorted.
func reservedIDs() []string {
	return []string{"all", "bin", "collector", "collector-inlet", "fan", "fan-inlet", "filter", "none"}
}
