package keys

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Every section that a key names is there, and the tables hang together.
func TestKeys(t *testing.T) {
	assert.Nil(t, Of("no such section"))
	reached := map[string]bool{"": true}
	for _, name := range Sections() {
		seen := map[string]bool{}
		for _, k := range Of(name) {
			assert.NotEmpty(t, k.What, "%s.%s", name, k.Name)
			assert.False(t, seen[k.Name], "%s.%s twice", name, k.Name)
			assert.LessOrEqual(t, k.Min, k.Max, "%s.%s", name, k.Name)
			seen[k.Name] = true
			if k.Section != "" {
				assert.NotNil(t, Of(k.Section), "%s.%s", name, k.Name)
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

// The table is handed out as a copy.
func TestKeysAreCopies(t *testing.T) {
	Of("ducts")[0].Name = "x"
	assert.Equal(t, "id", Of("ducts")[0].Name)
}
