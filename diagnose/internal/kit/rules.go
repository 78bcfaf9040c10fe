package kit

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/fault"
	"lostair/diagnose/handbook"
	"lostair/readings"
	"lostair/readings/units"
)

// Published rules of diagnosis, R3 to R7 of testdata/published/README.md: on a
// small system the readings must move as the rule says, and the verdict must
// follow the rule. Three drops stand on a main; each has a tap A1 (B1, C1) in
// the hose behind its hood, a gate, and a tap A2 before its join.
const RuleShop = `
name: Three drops
units: metric
collector:
  inlet: 180
  fan:
    curve: [[0, 2700], [900, 2650], [1800, 2200], [2700, 1100], [3200, 0]]
  cyclone: {drop: 450, at: 1800}
  filter: {drop: 160, at: 1800}
  bin: true
ducts:
  - {id: main, into: collector, diameter: 180, length: 4, material: spiral, taps: {M: 2}}
  - {id: drop-a, into: main, enters: straight, diameter: 110, length: 3, material: spiral, gate: a, taps: {A2: 2.6}}
  - {id: hose-a, into: drop-a, diameter: 110, length: 1.5, material: flexible, taps: {A1: 0.4}}
  - {id: drop-b, into: main, enters: 45, diameter: 110, length: 3.5, material: spiral, gate: b, taps: {B2: 3.1}}
  - {id: hose-b, into: drop-b, diameter: 110, length: 1.2, material: flexible, taps: {B1: 0.4}}
  - {id: drop-c, into: main, enters: 45, diameter: 110, length: 5, material: spiral, gate: c, taps: {C2: 4.6}}
  - {id: hose-c, into: drop-c, diameter: 110, length: 1.2, material: flexible, taps: {C1: 0.4}}
ports:
  - {id: port-a, duct: hose-a, hood: 1.1}
  - {id: port-b, duct: hose-b, hood: 0.8}
  - {id: port-c, duct: hose-c, hood: 1.4}
instruments:
  - {id: gauge, measures: pressure, of_reading: 1%, floor: 3 Pa}
`

// DropB is what the page says of drop-b and the start of its hose.
const DropB = `
  - {id: drop-b, into: main, enters: 45, diameter: 110, length: 3.5, material: spiral, gate: b, taps: {B2: 3.1}}
  - {id: hose-b, into: drop-b, diameter`

// Rules is the shop with its model and its sound readings.
type Rules struct {
	t   *testing.T
	Sys *duct.System
	M   *airflow.Model
}

func NewRules(t *testing.T) *Rules { return RulesOf(t, RuleShop) }

func RulesOf(t *testing.T, page string) *Rules {
	sys, problems := systemfile.Load([]byte(page), "rules.yaml")
	require.NoError(t, problems.Err())
	m, err := airflow.New(sys, airflow.Options{})
	require.NoError(t, err)
	return &Rules{t, sys, m}
}

// Hurt changes coefficients as a fault would.
type Hurt func(r *Rules, c *airflow.Coefs)

func Sound(*Rules, *airflow.Coefs) {}

func (r *Rules) Duct(id string) int {
	for i := range r.Sys.Ducts {
		if r.Sys.Ducts[i].ID == id {
			return i
		}
	}
	require.Fail(r.t, "no such duct", id)
	return -1
}

// Read gives a pressure with these gates open, Pa.
func (r *Rules) Read(h Hurt, open, point string) float64 {
	x, err := readings.ParseOpen(open)
	require.NoError(r.t, err)
	cfg, err := r.M.Configure(x.All, x.Gates, nil)
	require.NoError(r.t, err)
	c := r.M.Coefs()
	h(r, &c)
	s := r.M.NewState()
	require.NoError(r.t, s.Solve(&c, cfg))
	q := units.StaticPressure
	if point == airflow.FilterPoint {
		q = units.PressureDrop
	}
	p, err := r.M.ProbeAt(point, q)
	require.NoError(r.t, err)
	return s.Value(p)
}

var RuleTaps = []string{"A1", "A2", "B1", "B2", "C1", "C2", "M", airflow.CollectorInlet, airflow.FanInlet, airflow.FilterPoint}

// Survey reads every point with all gates open and with each alone, to 1 Pa.
// change may rewrite a value, by its row.
func (r *Rules) Survey(h Hurt, points []string, change map[int]float64) *readings.Survey {
	return r.SurveyIn([]string{"all", "a", "b", "c"}, h, points, change)
}

// SurveyIn is survey with these gates open.
func (r *Rules) SurveyIn(gates []string, h Hurt, points []string, change map[int]float64) *readings.Survey {
	var b strings.Builder
	b.WriteString("open,point,quantity,value,unit,instrument\n")
	row := 1
	for _, open := range gates {
		for _, p := range points {
			row++
			v := math.Round(r.Read(h, open, p))
			if w, ok := change[row]; ok {
				v = w
			}
			q := "static_pressure"
			if p == airflow.FilterPoint {
				q = "pressure_drop"
			}
			fmt.Fprintf(&b, "%s,%s,%s,%g,Pa,gauge\n", open, p, q, v)
		}
	}
	s, problems := readings.Load(strings.NewReader(b.String()), "rules.csv", units.Metric)
	require.NoError(r.t, problems.Err())
	return s
}

func (r *Rules) Diagnose(s *readings.Survey) *diagnose.Result {
	res, err := diagnose.Diagnose(context.Background(), r.Sys, s, diagnose.Options{Baselines: []*readings.Survey{r.Survey(Sound, RuleTaps, nil)}})
	require.NoError(r.t, err)
	return res
}

// Blames says whether a fault is asserted, by itself or in a group that the
// readings can't tell apart.
func Blames(res *diagnose.Result, k fault.Kind, where ...string) bool {
	for _, f := range res.Faults {
		for _, c := range append([]fault.Candidate{f.Candidate}, f.Alike...) {
			for _, w := range where {
				if c.Kind == k && c.Where == w {
					return true
				}
			}
		}
	}
	return false
}

func Said(res *diagnose.Result) string {
	s := string(res.Verdict) + ":"
	for _, f := range res.Faults {
		s += fmt.Sprintf(" %s %s %.2f", f.Kind, f.Where, f.Probability)
		for _, a := range f.Alike {
			s += fmt.Sprintf(" (%s %s %.2f)", a.Kind, a.Where, a.Probability)
		}
	}
	return s
}

// blockage closes a share of the bore in one piece of a duct: 0 is the piece
// upstream of its tap, 1 the one downstream; at a port it is the hood.
func BlockageIn(id string, piece int, closed float64) Hurt {
	return func(r *Rules, c *airflow.Coefs) {
		c.K[r.M.DuctSegments(r.Duct(id))[piece]] += handbook.BlockageLoss(closed)
	}
}

func LeakIn(id string, piece int, area float64) Hurt {
	return func(r *Rules, c *airflow.Coefs) { c.Leak[r.M.DuctSegments(r.Duct(id))[piece]] += area }
}

func GateAt(id string, travel float64) Hurt {
	return func(r *Rules, c *airflow.Coefs) {
		g, ok := r.M.GateIndex(id)
		require.True(r.t, ok)
		c.GateOpen[g] += handbook.GateLoss(travel)
	}
}

func FanAt(speed float64) Hurt { return func(_ *Rules, c *airflow.Coefs) { c.Speed = speed } }

// Ratio is a suction with a fault over the sound one, all gates open.
func (r *Rules) Ratio(h Hurt, point string) float64 {
	return r.Read(h, "all", point) / r.Read(Sound, "all", point)
}
