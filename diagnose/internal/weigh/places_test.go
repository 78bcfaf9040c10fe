package weigh_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/weigh"
)

// That something is closed altogether is thought of where a port was read without
// air although its gate stood open, on that port's own way, and nowhere else.
func TestPlugsOnlyWhereNoAirWasRead(t *testing.T) {
	sys := kit.ReviewSystem(t, kit.ReviewShop)
	m, err := airflow.New(sys, airflow.Options{})
	require.NoError(t, err)
	b, bad := observe.Bind(m, kit.ReviewSurvey(t, sys, "open,point,quantity,value,unit,instrument\na,pa,velocity,33,m/s,vane\na,pb,velocity,0,m/s,vane\nb,pb,velocity,0.1,m/s,vane\n"))
	require.NoError(t, bad.Err())
	before := fault.Sites(m)
	grown := map[string]bool{}
	for i, s := range weigh.WithPlugs(fault.Sites(m), m, b) {
		if len(s.Variants) > len(before[i].Variants) {
			grown[s.Kind.String()+" "+s.Where] = true
		}
		var sum float64
		for _, v := range s.Variants {
			sum += v.Weight
		}
		require.InDelta(t, 1, sum, 1e-9)
	}
	require.Equal(t, map[string]bool{"blockage drop-b": true, "blockage hose-b": true, "blockage pb": true, "gate-restricted b": true}, grown)
}
