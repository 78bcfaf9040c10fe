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

// A file of the largest size, wrong all over, is answered with a bounded list.
func TestProblemsAreBounded(t *testing.T) {
	row := "  - {id: a, into: nowhere, diameter: x}\n"
	data := "ducts:\n" + strings.Repeat(row, (maxBytes-100)/len(row)/8)
	s, list := Load([]byte(data), "f")
	require.Nil(t, s)
	assert.LessOrEqual(t, len(list), 1001)
	assert.Contains(t, list[len(list)-1].What, "more problems")
}
