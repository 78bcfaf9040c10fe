package report

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"lostair/diagnose"
	"lostair/diagnose/fault"
)

// What a reading sets apart is a sentence, also where one explanation is the
// other and one more.
func TestWhatAReadingTells(t *testing.T) {
	sound := diagnose.Explanation{Sound: true}
	fan := diagnose.Explanation{Kind: fault.FanWeak, Where: "fan"}
	main := diagnose.Explanation{Kind: fault.Leak, Where: "main"}
	for _, c := range []struct {
		tells []diagnose.Explanation
		want  string
	}{
		{[]diagnose.Explanation{main, fan}, "tells a leak at main from a weak fan"},
		{[]diagnose.Explanation{sound, fan}, "tells a sound system from a weak fan"},
		{[]diagnose.Explanation{main}, "tells whether there is a leak at main as well"},
		{nil, ""},
	} {
		assert.Equal(t, c.want, Converter{}.tells(c.tells))
	}
}
