package search_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/kit"
)

// A severe fault bends every fit that lacks it, so that rows seem wrong which
// are not. Once it is found, they must be let go again. Both surveys are drawn
// from the program's own priors, with no row wrong.
func TestReviewSevereFaultNeedsNoWrongRow(t *testing.T) {
	for _, c := range []struct{ what, kind, where, csv string }{
		{"a fan at 57 % of its speed", "fan-weak", "fan", `open,point,quantity,value,unit,instrument
a,A,static_pressure,-733.72,Pa,gauge
a,M,static_pressure,-669.60,Pa,gauge
a,collector-inlet,static_pressure,-680.32,Pa,gauge
a,fan-inlet,static_pressure,-752.80,Pa,gauge
a,pa,velocity,19.44,m/s,vane
b,B,static_pressure,-682.73,Pa,gauge
b,M,static_pressure,-657.56,Pa,gauge
b,collector-inlet,static_pressure,-674.31,Pa,gauge
b,fan-inlet,static_pressure,-745.07,Pa,gauge
b,pb,velocity,19.69,m/s,vane
none,fan-inlet,static_pressure,-839.71,Pa,gauge
a,filter,pressure_drop,78.49,Pa,gauge
all,M,static_pressure,-455.33,Pa,gauge
all,pa,velocity,13.68,m/s,vane
all,pb,velocity,15.07,m/s,vane
`},
		{"a hose closed by 88 %", "blockage", "hose-a", `open,point,quantity,value,unit,instrument
a,A,static_pressure,-2494.42,Pa,gauge
a,M,static_pressure,-2481.97,Pa,gauge
a,collector-inlet,static_pressure,-2485.39,Pa,gauge
a,fan-inlet,static_pressure,-2540.80,Pa,gauge
a,pa,velocity,5.06,m/s,vane
b,B,static_pressure,-1931.69,Pa,gauge
b,M,static_pressure,-2052.19,Pa,gauge
b,collector-inlet,static_pressure,-2131.01,Pa,gauge
b,fan-inlet,static_pressure,-2345.62,Pa,gauge
b,pb,velocity,32.87,m/s,vane
none,fan-inlet,static_pressure,-2557.06,Pa,gauge
a,filter,pressure_drop,50.02,Pa,gauge
all,M,static_pressure,-1947.65,Pa,gauge
all,pa,velocity,4.59,m/s,vane
all,pb,velocity,32.11,m/s,vane
`},
	} {
		t.Run(c.what, func(t *testing.T) {
			sys := kit.ReviewSystem(t, kit.ReviewShop)
			r, err := diagnose.Diagnose(context.Background(), sys, kit.ReviewSurvey(t, sys, c.csv), diagnose.Options{})
			require.NoError(t, err)
			together := 0.0
			for _, f := range r.Faults {
				assert.NotEqual(t, fault.ReadingWrong, f.Kind, "row %v is right", f.Where)
				for _, x := range append([]fault.Candidate{f.Candidate}, f.Alike...) {
					if x.Kind.String() == c.kind && x.Where == c.where {
						together = f.Together
					}
				}
			}
			assert.Greater(t, together, 0.9)
		})
	}
}
