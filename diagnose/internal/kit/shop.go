package kit

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/observe"
	"lostair/readings"
)

// ReviewShop is a small shop of two drops, our own invention.
const ReviewShop = `
name: Two drops
units: metric
collector:
  inlet: 160
  fan:
    curve: [[0, 2600], [800, 2550], [1600, 2100], [2400, 1000], [2800, 0]]
  cyclone: {drop: 450, at: 1600}
  filter: {drop: 150, at: 1600}
  bin: true
ducts:
  - {id: main, into: collector, diameter: 160, length: 4, material: spiral, taps: {M: 2}}
  - {id: drop-a, into: main, enters: straight, diameter: 110, length: 3, material: spiral, taps: {A: 2}}
  - {id: hose-a, into: drop-a, diameter: 110, length: 1.5, material: flexible, gate: a}
  - {id: drop-b, into: main, enters: 45, diameter: 110, length: 3.5, material: spiral, taps: {B: 2.5}}
  - {id: hose-b, into: drop-b, diameter: 110, length: 1.2, material: flexible, gate: b}
ports:
  - {id: pa, duct: hose-a, hood: 1.1, need: 700}
  - {id: pb, duct: hose-b, hood: 0.8, need: 700}
instruments:
  - {id: gauge, measures: pressure, of_reading: 1%, floor: 3 Pa}
  - {id: pitot, measures: pressure, of_reading: 1%, floor: 1 Pa}
  - {id: vane, measures: velocity, of_reading: 3%, floor: 0.2 m/s}
`

// ReviewSound is about what that shop reads by its page.
const ReviewSound = `open,point,quantity,value,unit,instrument
a,A,static_pressure,-2304,Pa,gauge
a,M,static_pressure,-2298,Pa,gauge
a,collector-inlet,static_pressure,-2195,Pa,gauge
a,fan-inlet,static_pressure,-2420,Pa,gauge
a,filter,pressure_drop,112,Pa,gauge
a,pa,velocity,33.6,m/s,vane
`

func ReviewSystem(t testing.TB, page string) *duct.System {
	sys, bad := systemfile.Load([]byte(page), "shop.yaml")
	require.NoError(t, bad.Err())
	return sys
}

func ReviewSurvey(t testing.TB, sys *duct.System, csv string) *readings.Survey {
	s, bad := readings.Load(strings.NewReader(csv), "survey.csv", sys.Units)
	require.NoError(t, bad.Err())
	return s
}

// ReviewStudy is an untaught study of a page and a survey.
func ReviewStudy(t testing.TB, page, csv string) *fit.Study {
	sys := ReviewSystem(t, page)
	m, err := airflow.New(sys, airflow.Options{})
	require.NoError(t, err)
	return Untaught(t, m, ReviewSurvey(t, sys, csv))
}

// Untaught is a study of a survey before anything was learned.
func Untaught(t testing.TB, m *airflow.Model, survey *readings.Survey) *fit.Study {
	b, bad := observe.Bind(m, survey)
	require.NoError(t, bad.Err())
	u := asbuilt.NewUnknowns(m)
	l := fit.NewLayout(u, b)
	return fit.NewStudy(m, u, l, b, fit.Prior{Mean: make([]float64, l.N), Scale: 1})
}
