package duct

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

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
