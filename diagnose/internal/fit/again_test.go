package fit

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// A fit from another start is tried of one that did not end, did not settle or fits badly,
// and stands in its place if it ended better.
func TestWhichOfTwoFitsStands(t *testing.T) {
	good := ending{ok: true, settled: true, evidence: -10, misfit: 1}
	assert.True(t, good.stands())
	assert.True(t, ending{true, true, -10, 2.49}.stands())
	for _, e := range []ending{{false, true, -10, 1}, {true, false, -10, 1}, {true, true, -10, 2.5}} {
		assert.False(t, e.stands(), "%+v", e)
	}
	none, swinging, worse := ending{evidence: 50}, ending{ok: true, evidence: 20}, ending{ok: true, settled: true, evidence: -11}
	for _, x := range []struct {
		was, again ending
		other      bool
	}{
		{good, worse, false}, {worse, good, true}, {good, good, false},
		{good, swinging, false}, {swinging, good, true},
		{swinging, ending{ok: true, evidence: 21}, true}, {ending{ok: true, evidence: 21}, swinging, false},
		{good, none, false}, {none, good, true}, {none, swinging, true}, {swinging, none, false}, {none, none, false},
	} {
		assert.Equal(t, x.other, x.was.outdoneBy(x.again), "%+v, then %+v", x.was, x.again)
	}
}
