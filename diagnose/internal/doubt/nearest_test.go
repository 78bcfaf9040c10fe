package doubt

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Of many gates those are tried that stand next to an open one.
func TestNearestGates(t *testing.T) {
	gates := strings.Fields("a b c d e f g h")
	for _, c := range []struct {
		some string
		n    int
		want string
	}{
		{"d", 8, "a b c d e f g h"},
		{"d", 3, "c d e"},
		{"a", 3, "a b c"},
		{"h", 2, "g h"},
		{"b g", 4, "a b c g"}, // of equally near ones the first
		{"b g", 5, "a b c f g"},
		{"", 2, "a b"},
		{"z", 2, "a b"},
	} {
		assert.Equal(t, c.want, strings.Join(nearest(gates, strings.Fields(c.some), c.n), " "), "%s, %d", c.some, c.n)
	}
}

func TestGatesTried(t *testing.T) {
	assert.Equal(t, 300, gatesTried(5, 300, 900), "a plant of 300 ports is tried whole")
	assert.Equal(t, 400, gatesTried(5, 5000, 5000))
	assert.Equal(t, fewestGatesTried, gatesTried(2000, 5000, 5000))
	assert.Equal(t, 2, gatesTried(2000, 2, 50_000))
	assert.Zero(t, gatesTried(1, 0, 10))
}
