package diagnose

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// What a reading tells of two sets is a sentence, also where one set is the
// other and one more.
func TestApart(t *testing.T) {
	for _, c := range []struct{ a, b, want string }{
		{"a leak at main", "a weak fan", "tells a leak at main from a weak fan"},
		{"a sound system", "a weak fan", "tells a sound system from a weak fan"},
		{"", "a leak at bin", "tells whether there is a leak at bin as well"},
		{"a leak at bin", "", "tells whether there is a leak at bin as well"},
		{"", "", ""},
	} {
		assert.Equal(t, c.want, apart(c.a, c.b))
	}
}
