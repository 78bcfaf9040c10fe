package trade

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// The tables are handed out as copies.
func TestTablesAreCopies(t *testing.T) {
	Materials()[0].Name = "x"
	Hoods()[0].Name = "x"
	assert.Equal(t, "smooth", Materials()[0].Name)
	assert.Equal(t, "plain", Hoods()[0].Name)
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
