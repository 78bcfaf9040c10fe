package duct

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// More ducts than any plant has are refused, and nothing is worked out from them.
func TestTooManyDucts(t *testing.T) {
	s := &System{Ducts: make([]Duct, maxDucts+1)}
	list := s.Finish()
	require.Error(t, list.Err())
	said := false
	for _, p := range list {
		said = said || strings.Contains(p.What, "more than 200000")
	}
	assert.True(t, said)
	assert.Empty(t, s.Order)
}
