package diagnose

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/readings"
)

// reviewShop is a small shop of two drops, our own invention.
const reviewShop = `
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

// reviewSound is about what that shop reads by its page.
const reviewSound = `open,point,quantity,value,unit,instrument
a,A,static_pressure,-2304,Pa,gauge
a,M,static_pressure,-2298,Pa,gauge
a,collector-inlet,static_pressure,-2195,Pa,gauge
a,fan-inlet,static_pressure,-2420,Pa,gauge
a,filter,pressure_drop,112,Pa,gauge
a,pa,velocity,33.6,m/s,vane
`

func reviewSystem(t testing.TB, page string) *duct.System {
	sys, bad := duct.Load([]byte(page), "shop.yaml")
	require.NoError(t, bad.Err())
	return sys
}

func reviewSurvey(t testing.TB, sys *duct.System, csv string) *readings.Survey {
	s, bad := readings.Load(strings.NewReader(csv), "survey.csv", sys.Units)
	require.NoError(t, bad.Err())
	return s
}

// reviewStudy is an untaught study of a page and a survey.
func reviewStudy(t testing.TB, page, csv string) *study {
	sys := reviewSystem(t, page)
	m, err := airflow.New(sys, airflow.Options{})
	require.NoError(t, err)
	return untaught(t, m, reviewSurvey(t, sys, csv))
}

// untaught is a study of a survey before anything was learned.
func untaught(t testing.TB, m *airflow.Model, survey *readings.Survey) *study {
	b, bad := bind(m, survey)
	require.NoError(t, bad.Err())
	u := newUnknowns(m)
	l := newLayout(u, b)
	return newStudy(m, u, l, b, prior{mean: make([]float64, l.n), scale: 1})
}

// The slopes of every observation by every parameter and severity are those
// that differences give, at a point away from the prior mean and for readings
// that lie far from what they should be.
func TestReviewSlopes(t *testing.T) {
	s := reviewStudy(t, reviewShop, reviewSound+`a,A,velocity_pressure,12,Pa,pitot
a,A,centre_velocity,5,m/s,vane
a,A,flow,500,m3/h,vane
a,pa,suction,30,Pa,gauge
none,bin,static_pressure,24,Pa,gauge
`)
	at := point{theta: make([]float64, s.n)}
	for i := range at.theta {
		at.theta[i] = 0.7 * math.Sin(1+1.7*float64(i))
	}
	slopesHold(t, s, "sound", hypothesis{}, at)
	for _, st := range sites(s.m) {
		for k, v := range st.variants {
			p := at.clone()
			p.z = []float64{severities[v.kind].mean + 0.3}
			slopesHold(t, s, fmt.Sprintf("%s %s %d", st.kind, st.where, k), hypothesis{faults: []*variant{v}}, p)
		}
	}
}

func slopesHold(t *testing.T, s *study, name string, h hypothesis, p point) {
	n := len(s.obs)
	now, up, down := make([]float64, n), make([]float64, n), make([]float64, n)
	require.NoError(t, s.predict(p, h, now))
	j, jz := mat.NewDense(n, s.n, nil), mat.NewDense(n, max(len(h.faults), 1), nil)
	s.jacobian(p, h, j, jz)
	const e = 1e-4
	for x := range s.n + len(h.faults) {
		for _, side := range []struct {
			by  float64
			out []float64
		}{{e, up}, {-e, down}} {
			q := p.clone()
			if x < s.n {
				q.theta[x] += side.by
			} else {
				q.z[x-s.n] += side.by
			}
			require.NoError(t, s.predict(q, h, side.out))
		}
		for i := range n {
			got := 0.0
			if x < s.n {
				got = j.At(i, x)
			} else {
				got = jz.At(i, x-s.n)
			}
			// A tap's error goes with the velocity pressure, whose slope is left out: tapError of it.
			want := (up[i] - down[i]) / (2 * e)
			require.InDelta(t, want, got, 0.006*math.Abs(now[i])+0.01*math.Abs(want)+1e-3, "%s: observation %d by parameter %d", name, i, x)
		}
	}
}
