package fault

import (
	"math"
	"testing"

	"lostair/diagnose/handbook"
	"lostair/testdata/published"
)

func TestPublished(t *testing.T) {
	published.Run(t, "fault", map[string]published.Check{
		// In standard deviations of the spread of the gate's law.
		"gate off the law": func(r published.Row) float64 {
			return math.Log(r.SI("k")/handbook.GateLoss(r.SI("travel"))) / GateLawSpread
		},
		// In standard deviations of the prior of a weak fan: a fan turned backwards.
		"fan off its prior": func(r published.Row) float64 {
			p := Severities[FanWeak]
			return (Logit(1-r.SI("speed")) - p.Mean) / p.Sd
		},
	})
}
