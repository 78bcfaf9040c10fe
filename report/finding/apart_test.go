package finding

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"lostair/diagnose/fault"
	"lostair/diagnose/next"
)

// What a reading sets apart is a sentence, also where one explanation is the
// other and one more.
func TestWhatAReadingTells(t *testing.T) {
	sound := next.Explanation{Sound: true}
	fan := next.Explanation{Kind: fault.FanWeak, Where: "fan"}
	main := next.Explanation{Kind: fault.Leak, Where: "main"}
	for _, c := range []struct {
		tells []next.Explanation
		want  string
	}{
		{[]next.Explanation{main, fan}, "tells a leak at main from a weak fan"},
		{[]next.Explanation{sound, fan}, "tells a sound system from a weak fan"},
		{[]next.Explanation{main}, "tells whether there is a leak at main as well"},
		{nil, ""},
	} {
		assert.Equal(t, c.want, Apart(c.tells))
	}
}
