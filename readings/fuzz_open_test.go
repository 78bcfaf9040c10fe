package readings

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// FuzzParseOpen: whatever is given as gates, no panic; an error says what to
// do; and what is read is sorted, has no gate twice and none that is empty,
// and comes back from its own String.
func FuzzParseOpen(f *testing.F) {
	for _, s := range []string{"", "all", "none", "ALL", "a", "a+b", "b + a", "a+", "+a", "a++b", "a+a", "all+a", "none+none", "a b", "ä+ß", "\x00", "a+\xff", "=a+-b", "'a"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		o, err := ParseOpen(text)
		if err != nil {
			assert.Contains(t, err.Error(), "; ")
			assert.Equal(t, Open{}, o)
			return
		}
		require.True(t, slices.IsSorted(o.Gates))
		require.Equal(t, o.Gates, slices.Compact(slices.Clone(o.Gates)))
		for _, g := range o.Gates {
			assert.NotEmpty(t, strings.TrimSpace(g))
			assert.NotContains(t, g, "+")
		}
		again, err := ParseOpen(o.String())
		require.NoError(t, err)
		assert.Equal(t, o, again)
	})
}
