package diagnose_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/handbook"
	"lostair/diagnose/internal/kit"
	"lostair/readings"
	"lostair/readings/units"
)

// R4, the rule table, line by line: how suctions move against the baseline, and
// what the verdict says. The first line is R3's rule SPHone and idIVM too.
func TestRuleTable(t *testing.T) {
	r := kit.NewRules(t)
	t.Run("blockage downstream of the hood tap", func(t *testing.T) {
		h := kit.BlockageIn("drop-b", 0, 0.55)
		require.Less(t, r.Ratio(h, "B1"), 0.97, "hood suction falls")
		require.Greater(t, r.Ratio(h, "B2"), 1.02, "branch-end suction rises")
		res := r.Diagnose(r.Survey(h, kit.RuleTaps, nil))
		require.True(t, kit.Blames(res, fault.Blockage, "drop-b", "hose-b"), kit.Said(res))
	})
	t.Run("blockage upstream of the hood tap", func(t *testing.T) {
		h := func(r *kit.Rules, c *airflow.Coefs) { c.K[r.M.PortSegment(1)] += handbook.BlockageLoss(0.5) }
		require.Greater(t, r.Ratio(h, "B1"), 1.03, "hood suction rises")
		res := r.Diagnose(r.Survey(h, kit.RuleTaps, nil))
		require.True(t, kit.Blames(res, fault.Blockage, "port-b", "hose-b"), kit.Said(res))
		for _, p := range res.Ports {
			if p.Port == "port-b" && p.Open.All {
				require.Less(t, p.Flow.High, p.Expected, "while flow is down")
			}
		}
	})
	t.Run("leak between tap and join", func(t *testing.T) {
		// the shop as it is has a hole half way along drop-b
		shop := kit.RulesOf(t, strings.Replace(kit.RuleShop, kit.DropB, `
  - {id: drop-b, into: main, enters: 45, diameter: 110, length: 1.75, material: spiral, taps: {B2: 1.35}}
  - {id: upper-b, into: drop-b, diameter: 110, length: 1.75, material: spiral, gate: b}
  - {id: hose-b, into: upper-b, diameter`, 1))
		h := kit.LeakIn("drop-b", 0, 12e-4)
		require.Less(t, shop.Ratio(h, "B1"), 0.97, "hood suction falls")
		require.Less(t, shop.Ratio(h, "B2"), 1.005, "branch-end suction falls or stays")
		res := r.Diagnose(shop.Survey(h, kit.RuleTaps, nil))
		require.True(t, kit.Blames(res, fault.Leak, "drop-b", "hose-b"), kit.Said(res))
		require.False(t, kit.Blames(res, fault.Blockage, "drop-b", "hose-b"), kit.Said(res))
	})
	t.Run("fan", func(t *testing.T) {
		h := kit.FanAt(0.85)
		first := r.Ratio(h, "A1")
		require.Less(t, first, 0.8)
		for _, p := range []string{"B1", "C1"} {
			require.InEpsilon(t, first, r.Ratio(h, p), 0.01, "all hoods fall in one ratio")
		}
		res := r.Diagnose(r.Survey(h, kit.RuleTaps, nil))
		require.True(t, kit.Blames(res, fault.FanWeak, "fan"), kit.Said(res))
		require.Len(t, res.Faults, 1, kit.Said(res))
	})
	t.Run("gate part closed downstream of the tap", func(t *testing.T) {
		h := kit.GateAt("b", 0.45)
		require.Less(t, r.Ratio(h, "B1"), 0.9, "hood suction falls")
		require.Greater(t, r.Ratio(h, "A1"), 1.005, "the others rise")
		require.Greater(t, r.Ratio(h, "C1"), 1.005, "the others rise")
		res := r.Diagnose(r.Survey(h, kit.RuleTaps, nil))
		require.True(t, kit.Blames(res, fault.GateRestricted, "b"), kit.Said(res))
	})
}

// R3: hood suctions are compared with a measured baseline, not with the design.
// A shop whose hoses have always been rougher than the page has no obstruction
// if nothing has changed since.
func TestRuleObstructionAgainstBaseline(t *testing.T) {
	r := kit.NewRules(t)
	asBuilt := func(r *kit.Rules, c *airflow.Coefs) {
		for _, id := range []string{"hose-a", "hose-b", "hose-c"} {
			for _, x := range r.M.DuctSegments(r.Duct(id)) {
				c.Friction[x] *= 1.5
			}
		}
		c.Speed = 0.97
	}
	base := r.Survey(asBuilt, kit.RuleTaps, nil)
	res, err := diagnose.Diagnose(context.Background(), r.Sys, base, diagnose.Options{Baselines: []*readings.Survey{base}})
	require.NoError(t, err)
	require.Equal(t, diagnose.Clear, res.Verdict, kit.Said(res))
	blocked := func(r *kit.Rules, c *airflow.Coefs) {
		asBuilt(r, c)
		kit.BlockageIn("drop-c", 0, 0.55)(r, c)
	}
	res, err = diagnose.Diagnose(context.Background(), r.Sys, r.Survey(blocked, kit.RuleTaps, nil), diagnose.Options{Baselines: []*readings.Survey{base}})
	require.NoError(t, err)
	require.True(t, kit.Blames(res, fault.Blockage, "drop-c", "hose-c"), kit.Said(res))
	require.False(t, kit.Blames(res, fault.Blockage, "drop-a", "hose-a", "drop-b", "hose-b"), kit.Said(res))
}

// R3: ratios of pressures within a duct cancel a change outside it. A loaded
// filter moves every suction and no ratio, and no duct is blamed.
func TestRuleChangeElsewhereCancels(t *testing.T) {
	r := kit.NewRules(t)
	h := func(_ *kit.Rules, c *airflow.Coefs) { c.Filter = 3 }
	for _, drop := range []string{"A", "B", "C"} {
		before := r.Read(kit.Sound, "all", drop+"1") / r.Read(kit.Sound, "all", drop+"2")
		after := r.Read(h, "all", drop+"1") / r.Read(h, "all", drop+"2")
		require.Less(t, r.Ratio(h, drop+"1"), 0.97)
		require.InEpsilon(t, before, after, 0.01)
	}
	res := r.Diagnose(r.Survey(h, kit.RuleTaps, nil))
	require.True(t, kit.Blames(res, fault.FilterLoaded, "filter"), kit.Said(res))
	for _, f := range res.Faults {
		require.NotEqual(t, fault.Blockage, f.Kind, kit.Said(res))
		require.NotEqual(t, fault.Leak, f.Kind, kit.Said(res))
	}
}

// R5: what a specification of the US Navy calls inconsistent and to be
// explained. Suction that falls towards the fan can't be in a run without a
// join: the program calls the row wrong. Unlike suctions of like drops it
// explains by a fault (the rule table).
func TestRuleOddSuctionIsExplained(t *testing.T) {
	r := kit.NewRules(t)
	row := 2 + 7 // all, collector-inlet
	odd := math.Round(r.Read(kit.Sound, "all", airflow.CollectorInlet)) / 10
	require.Greater(t, odd, r.Read(kit.Sound, "all", "M"), "weaker suction nearer the fan")
	res := r.Diagnose(r.Survey(kit.Sound, kit.RuleTaps, map[int]float64{row: odd}))
	require.True(t, kit.Blames(res, fault.ReadingWrong, fmt.Sprintf("row %d", row)), kit.Said(res))
	require.Len(t, res.Faults, 1, kit.Said(res))
}

// R6: hood suctions, submain, cleaner and fan inlet and the cleaner's drop are
// the readings that a system is judged by; with no baseline they do for a
// verdict on the fan and the filter.
func TestRuleReadingsNeededToJudge(t *testing.T) {
	r := kit.NewRules(t)
	points := []string{"A1", "B1", "C1", "M", airflow.CollectorInlet, airflow.FanInlet, airflow.FilterPoint}
	judge := func(h kit.Hurt) *diagnose.Result {
		res, err := diagnose.Diagnose(context.Background(), r.Sys, r.Survey(h, points, nil), diagnose.Options{})
		require.NoError(t, err)
		return res
	}
	res := judge(kit.Sound)
	require.Equal(t, diagnose.Clear, res.Verdict, kit.Said(res))
	res = judge(func(_ *kit.Rules, c *airflow.Coefs) { c.Filter = 3 })
	require.True(t, kit.Blames(res, fault.FilterLoaded, "filter"), kit.Said(res))
	res = judge(kit.FanAt(0.8))
	require.True(t, kit.Blames(res, fault.FanWeak, "fan"), kit.Said(res))
}

// R7: a gate found off its marked place is a fault, and a gate shut on purpose
// is none: the survey says what was open.
func TestRuleMovedGateIsAFault(t *testing.T) {
	r := kit.NewRules(t)
	res := r.Diagnose(r.Survey(kit.GateAt("c", 0.5), kit.RuleTaps, nil))
	require.True(t, kit.Blames(res, fault.GateRestricted, "c"), kit.Said(res))
	res = r.Diagnose(r.Survey(kit.Sound, kit.RuleTaps, nil))
	require.Equal(t, diagnose.Clear, res.Verdict, kit.Said(res))
}

// R11: the current of the fan's motor and the hoods' suctions tell together what either
// leaves open. The suctions at all hoods fall as much with a hole in the main as with a
// loaded filter; with the hole the fan moves more air than before and its motor draws
// more, with the filter less of both.
func TestRuleMotorCurrentAndHoodSuctionsTogether(t *testing.T) {
	r := kit.RulesOf(t, strings.Replace(kit.RuleShop, "instruments:", "instruments:\n  - {id: clamp, measures: current, of_reading: 2%, floor: 0.1 A}", 1))
	readAt := func(h kit.Hurt, point string, q units.Quantity) float64 {
		cfg, err := r.M.Configure(true, nil, nil)
		require.NoError(t, err)
		c, s := r.M.Coefs(), r.M.NewState()
		h(r, &c)
		require.NoError(t, s.Solve(&c, cfg))
		p, err := r.M.ProbeAt(point, q)
		require.NoError(t, err)
		return s.Value(p)
	}
	survey := func(h kit.Hurt, current bool) *readings.Survey {
		csv := "open,point,quantity,value,unit,instrument\n"
		for _, tap := range []string{"A1", "B1", "C1"} {
			csv += fmt.Sprintf("all,%s,static_pressure,%.1f,Pa,gauge\n", tap, readAt(h, tap, units.StaticPressure))
		}
		if current {
			csv += fmt.Sprintf("all,fan,motor_current,%.3f,A,clamp\n", readAt(h, airflow.FanPoint, units.MotorCurrent))
		}
		s, problems := readings.Load(strings.NewReader(csv), "r11.csv", units.Metric)
		require.NoError(t, problems.Err())
		return s
	}
	chance := func(h kit.Hurt, current bool, k fault.Kind) float64 {
		res, err := diagnose.Diagnose(t.Context(), r.Sys, survey(h, current), diagnose.Options{Baselines: []*readings.Survey{survey(kit.Sound, current)}})
		require.NoError(t, err)
		p := 0.0
		for _, c := range res.Candidates {
			if c.Kind == k {
				p += c.Probability
			}
		}
		return p
	}
	hole := kit.LeakIn("main", 0, 150e-4)
	low, high := 1.0, 50.0 // the load that lowers A1 as much
	for range 40 {
		mid := (low + high) / 2
		if r.Ratio(func(_ *kit.Rules, c *airflow.Coefs) { c.Filter = mid }, "A1") > r.Ratio(hole, "A1") {
			low = mid
		} else {
			high = mid
		}
	}
	filter := func(_ *kit.Rules, c *airflow.Coefs) { c.Filter = low }
	was := readAt(kit.Sound, airflow.FanPoint, units.MotorCurrent)
	for _, tap := range []string{"A1", "B1", "C1"} {
		require.Less(t, r.Ratio(hole, tap), 0.9)
		require.InEpsilon(t, r.Ratio(hole, tap), r.Ratio(filter, tap), 0.02, "no hood tells one from the other")
	}
	require.Greater(t, readAt(hole, airflow.FanPoint, units.MotorCurrent), 1.01*was)
	require.Less(t, readAt(filter, airflow.FanPoint, units.MotorCurrent), 0.99*was)
	require.Greater(t, chance(hole, false, fault.FanWeak), 0.5, "the hoods alone point to the fan")
	require.Greater(t, chance(filter, false, fault.FanWeak), 0.5)
	require.Less(t, chance(hole, true, fault.FanWeak), 0.1, "which would draw far less")
	require.Less(t, chance(filter, true, fault.FanWeak), 0.1)
	require.Greater(t, chance(hole, true, fault.Leak), 2*chance(hole, false, fault.Leak))
	require.Less(t, chance(filter, true, fault.Leak), chance(hole, true, fault.Leak)/2)
}
