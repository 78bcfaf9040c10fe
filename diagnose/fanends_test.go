package diagnose_test

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/duct"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/trial"
)

// A fan whose file has no curve: the readings tell the curve's two ends within
// their 90 % intervals, in nine of ten cases of our own making. A few cases may by
// chance be two standard errors worse than that.
func TestReadingsTellTheFan(t *testing.T) {
	n := kit.Some(4, 200)
	least := 0.9 * float64(n)
	if n < 200 {
		least -= 2 * math.Sqrt(0.9*0.1*float64(n))
	}
	for _, how := range []string{"nothing", "two ends"} {
		t.Run(how, func(t *testing.T) { tellsTheFan(t, how, n, least) })
	}
}

func tellsTheFan(t *testing.T, how string, n int, least float64) {
	air, suction, of := 0, 0, 0
	for seed := uint64(1); of < n && seed < uint64(2*n); seed++ {
		c, err := trial.NewCase(seed, trial.Options{Ports: 3 + int(seed%6), Wrong: trial.No})
		if err != nil {
			continue
		}
		sys := *c.System
		sys.Collector.Curve = nil
		if how == "two ends" {
			k := c.System.Collector.Curve
			y, z := k[len(k)-2], k[len(k)-1] // the curve goes on straight to no pressure
			end := z.Flow + z.Pressure*(z.Flow-y.Flow)/math.Max(y.Pressure-z.Pressure, 1)
			sys.Collector.Guess = &duct.FanGuess{MostAir: end, MostSuction: k[0].Pressure}
		}
		require.NoError(t, sys.Finish().Err())
		res, err := diagnose.Diagnose(context.Background(), &sys, c.Survey, diagnose.Options{Baselines: c.Baselines})
		require.NoError(t, err, "seed %d", seed)
		require.NotNil(t, res.Fan)
		a, s := c.FanEnds()
		of++
		if a >= res.Fan.MostAir.Low && a <= res.Fan.MostAir.High {
			air++
		}
		if s >= res.Fan.MostSuction.Low && s <= res.Fan.MostSuction.High {
			suction++
		}
	}
	t.Logf("%s known: most air within in %d, most suction in %d of %d", how, air, suction, of)
	require.GreaterOrEqual(t, of, n)
	require.GreaterOrEqual(t, float64(air), least)
	require.GreaterOrEqual(t, float64(suction), least)
}
