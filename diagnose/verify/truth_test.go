package verify_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/combin"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/verify"
	"lostair/readings"
	"lostair/readings/units"
)

// plantShop is the rules' shop with needs, limits and collector parts in some order.
func plantShop(order, more string) string {
	text := strings.NewReplacer("hood: 1.1}", "hood: 1.1, need: 760}", "hood: 0.8}", "hood: 0.8, need: 700}", "hood: 1.4}", "hood: 1.4, need: 600}",
		"instruments:", more+"limits: {conveying_velocity: {branch: 22, main: 15}}\ninstruments:").Replace(kit.RuleShop)
	if order != "" {
		text = strings.Replace(text, "  bin: true\n", "  bin: true\n  order: "+order+"\n", 1)
	}
	return text
}

// What a verification says of a plant that is built as written is what the plant does:
// flows, with a loaded filter too, velocities, pressures, where on its curve the fan runs,
// what filter the needs bear, and the fewest gates that keep its main carrying.
func TestVerifySaysWhatThePlantDoes(t *testing.T) {
	for name, text := range map[string]string{
		"filter behind the fan": plantShop("", ""),
		"filter before the fan": plantShop("[cyclone, filter, fan]", ""),
		"settings, thin air":    plantShop("", "air: {altitude: 1500, temperature: 15}\nsettings: [a, b+c, all]\n"),
		"a fast main":           strings.Replace(plantShop("", ""), "main: 15", "main: 19", 1),
		"too fast a main":       strings.Replace(plantShop("", ""), "main: 15", "main: 40", 1),
		"no need":               strings.NewReplacer(", need: 760", "", ", need: 700", "", ", need: 600", "").Replace(plantShop("", "")),
	} {
		t.Run(name, func(t *testing.T) {
			r := kit.RulesOf(t, text)
			ask := readings.Open{Gates: []string{"a", "b"}}
			v, err := verify.Verify(t.Context(), r.Sys, []*readings.Survey{r.Survey(kit.Sound, kit.RuleTaps, nil)}, verify.Options{Open: []readings.Open{ask}, Filter: 3, Tolerance: 0.2})
			require.NoError(t, err)
			p := newPlant(t, r)
			seen := map[verify.Topic]int{}
			settings := map[string]bool{}
			for _, l := range v.Lines {
				truth, least, most := p.of(l, 0.2)
				seen[l.Topic]++
				if truth == 0 {
					require.Equal(t, verify.Pass, l.Outcome, l.Topic)
					continue
				}
				settings[l.Open.String()] = true
				require.InEpsilon(t, truth, l.Value.Value, 0.03, "%s %s with %s", l.Topic, l.Where, l.Open)
				require.Less(t, l.Value.Low, l.Value.Value)
				require.Greater(t, l.Value.High, l.Value.Value)
				require.InEpsilon(t, least, l.Least, 1e-6, "%s %s with %s", l.Topic, l.Where, l.Open)
				require.InDelta(t, most, l.Most, 1e-6*most)
				if l.Topic != verify.FilterRoom {
					require.InEpsilon(t, truth, l.Design, 1e-6, "it is built as designed")
				}
				switch {
				case l.Topic == verify.TapPressure && truth < 50: // behind a shut gate: hardly more than the gauge's own error
				case truth > 1.15*least && (most == 0 || truth < 0.85*most):
					require.Equal(t, verify.Pass, l.Outcome, "%s %s with %s", l.Topic, l.Where, l.Open)
				case truth < 0.9*least:
					require.Equal(t, verify.Fail, l.Outcome, "%s %s with %s", l.Topic, l.Where, l.Open)
				}
			}
			p.fan(v)
			p.carry(v)
			n, needs := 3, 3 // each port with its own gate alone
			if len(r.Sys.Settings) > 0 {
				n = 6 // a; b and c; all three
			}
			if name == "no need" {
				needs = 0
			} else {
				needs = n
			}
			require.Equal(t, n, seen[verify.PortDesign])
			require.Equal(t, needs, seen[verify.PortNeed])
			require.Equal(t, needs, seen[verify.FilterRoom])
			require.Equal(t, 1, seen[verify.FanOnCurve])
			require.Equal(t, 1, seen[verify.NoFault])
			require.Equal(t, 4*9, seen[verify.TapPressure], "four settings, nine taps")
			require.True(t, settings["a+b"], "as was asked")
			// of main, drop and hose of each port open: a, b, c, all, and a with b; without
			// settings in use every pair, with them b with c
			carrying := 3 + 3 + 3 + 7 + 5
			if len(r.Sys.Settings) == 0 {
				carrying += 5
			}
			require.Equal(t, carrying+5, seen[verify.Carrying])
		})
	}
}

// A fan that runs slow, and a blocked drop, fail the lines that are about them, and are named.
func TestVerifyNamesWhatIsWrong(t *testing.T) {
	r := kit.RulesOf(t, plantShop("", ""))
	verified := func(h kit.Hurt) map[verify.Topic][]verify.Line {
		v, err := verify.Verify(t.Context(), r.Sys, []*readings.Survey{r.Survey(h, kit.RuleTaps, nil)}, verify.Options{})
		require.NoError(t, err)
		out := map[verify.Topic][]verify.Line{}
		for _, l := range v.Lines {
			out[l.Topic] = append(out[l.Topic], l)
		}
		return out
	}
	slow := verified(kit.FanAt(0.75))
	fan, none := slow[verify.FanOnCurve][0], slow[verify.NoFault][0]
	require.Equal(t, verify.Fail, fan.Outcome)
	require.Less(t, fan.Holds, 0.05)
	require.Equal(t, fan.Holds, fan.Value.Value)
	require.Equal(t, verify.Fail, none.Outcome)
	require.Less(t, none.Value.Value, 0.05)
	require.Equal(t, none.Holds, none.Value.Value)
	require.Equal(t, fault.FanWeak, none.Named.Kind)
	for _, l := range append(slow[verify.PortDesign], slow[verify.TapPressure]...) {
		if l.Design > 100 || l.Topic == verify.PortDesign { // the rest lie behind shut gates
			require.Equal(t, verify.Fail, l.Outcome, "%s %s with %s", l.Topic, l.Where, l.Open)
		}
	}
	blocked := verified(kit.BlockageIn("drop-b", 0, 0.6))
	require.Equal(t, verify.Pass, blocked[verify.FanOnCurve][0].Outcome)
	require.Greater(t, blocked[verify.FanOnCurve][0].Holds, 0.95)
	require.Equal(t, verify.Fail, blocked[verify.NoFault][0].Outcome)
	require.Contains(t, []fault.Kind{fault.Blockage, fault.GateRestricted}, blocked[verify.NoFault][0].Named.Kind, "its gate may be half shut as well")
	for _, l := range blocked[verify.PortDesign] {
		want := verify.Pass
		if l.Where == "port-b" {
			want = verify.Fail
		}
		require.Equal(t, want, l.Outcome, l.Where)
	}
}

type rulesPlant struct {
	t *testing.T
	r *kit.Rules
	s *airflow.State
}

func newPlant(t *testing.T, r *kit.Rules) *rulesPlant { return &rulesPlant{t, r, r.M.NewState()} }

func (p *rulesPlant) solve(filter float64, open readings.Open) {
	cfg, err := p.r.M.Configure(open.All, open.Gates, nil)
	require.NoError(p.t, err)
	c := p.r.M.Coefs()
	c.Filter = filter
	require.NoError(p.t, p.s.Solve(&c, cfg))
}

func (p *rulesPlant) read(point string, q units.Quantity) float64 {
	probe, err := p.r.M.ProbeAt(point, q)
	require.NoError(p.t, err)
	return p.s.Value(probe)
}

// of is what a line is about, in truth, and what it must lie between.
func (p *rulesPlant) of(l verify.Line, tolerance float64) (truth, least, most float64) {
	p.solve(1, l.Open)
	port, _ := p.r.Sys.PortNamed(l.Where)
	switch l.Topic {
	case verify.PortNeed:
		return p.s.PortFlow(port), p.r.Sys.Ports[port].Need, 0
	case verify.PortDesign:
		return p.s.PortFlow(port), (1 - tolerance) * p.s.PortFlow(port), 0
	case verify.FilterRoom:
		p.solve(3, l.Open)
		return p.s.PortFlow(port), p.r.Sys.Ports[port].Need, 0
	case verify.Carrying:
		least = 22
		if l.Where == "main" {
			least = p.r.Sys.Limits.ConveyMain
		}
		return p.s.Value(p.r.M.ProbeDuct(p.r.Duct(l.Where), units.MeanVelocity)), least, 0
	case verify.TapPressure:
		suction := p.read(l.Where, units.Suction)
		return suction, (1 - tolerance) * suction, (1 + tolerance) * suction
	}
	return 0, 0, 0
}

// fan: fan static pressure is the static pressure behind it less the total before it.
func (p *rulesPlant) fan(v *verify.Report) {
	var best readings.Open
	most := 0.0
	list := []readings.Open{{Gates: []string{"a"}}, {Gates: []string{"b"}}, {Gates: []string{"c"}}}
	if len(p.r.Sys.Settings) > 0 {
		list = []readings.Open{{Gates: []string{"a"}}, {Gates: []string{"b", "c"}}, {All: true}}
	}
	for _, o := range list {
		p.solve(1, o)
		if q := p.s.CollectorFlow(); q > most {
			most, best = q, o
		}
	}
	require.Equal(p.t, best.String(), v.Fan.Open.String())
	p.solve(1, best)
	require.InEpsilon(p.t, most, v.Fan.Flow.Value, 0.03)
	require.Less(p.t, v.Fan.Flow.Low, v.Fan.Flow.Value)
	require.Greater(p.t, v.Fan.Flow.High, v.Fan.Flow.Value)
	pressure := p.read(airflow.FanOutlet, units.StaticPressure) - p.read(airflow.FanInlet, units.TotalPressure)
	require.InEpsilon(p.t, pressure, v.Fan.Pressure.Value, 0.03)
	require.Less(p.t, v.Fan.Pressure.Low, v.Fan.Pressure.Value)
	require.Greater(p.t, v.Fan.Pressure.High, v.Fan.Pressure.Value)
	require.InEpsilon(p.t, most/(3200.0/3600), v.Fan.OfFree, 0.03, "of the curve's last point")
	require.InEpsilon(p.t, pressure/(2700*p.r.M.Air.Density/1.204), v.Fan.OfPeak, 0.03, "of its peak in this air")

	// the load of the filter at which the first port falls under its need
	first, bears := "", math.Inf(1)
	for i, port := range p.r.Sys.Ports {
		if port.Need == 0 {
			continue
		}
		in := readings.Open{Gates: []string{strings.TrimPrefix(port.ID, "port-")}}
		if len(p.r.Sys.Settings) > 0 {
			in = readings.Open{All: true}
		}
		flow := func(k float64) float64 { p.solve(k, in); return p.s.PortFlow(i) }
		if flow(1) < port.Need {
			continue
		}
		k := 1.0
		for ; k < 50 && flow(k) >= port.Need; k += 0.02 {
		}
		if k < bears {
			first, bears = port.ID, k
		}
	}
	require.Equal(p.t, first, v.Fan.First)
	if first == "" {
		require.Zero(p.t, v.Fan.Bears)
		return
	}
	require.InEpsilon(p.t, bears, v.Fan.Bears, 0.25, "loads move flows little")
}

// carry: all sets of further gates tried, the fewest that carry.
func (p *rulesPlant) carry(v *verify.Report) {
	carries := func(open []string, ducts []string) bool {
		p.solve(1, readings.Open{Gates: open})
		for _, d := range ducts {
			if p.s.Value(p.r.M.ProbeDuct(p.r.Duct(d), units.MeanVelocity)) < p.r.Sys.Limits.ConveyMain {
				return false
			}
		}
		return true
	}
	slow := 0
	for _, gates := range [][]string{{"a"}, {"b"}, {"c"}} {
		if len(p.r.Sys.Settings) == 0 && !carries(gates, []string{"main"}) {
			slow++
		}
	}
	if len(p.r.Sys.Settings) == 0 {
		require.Len(p.t, v.Carry, slow)
		require.Positive(p.t, slow)
	}
	for _, n := range v.Carry {
		require.Equal(p.t, "main", n.Slow[0].Duct)
		require.Len(p.t, n.Slow, 1)
		p.solve(1, n.Open)
		require.InEpsilon(p.t, p.s.Value(p.r.M.ProbeDuct(p.r.Duct("main"), units.MeanVelocity)), n.Slow[0].Velocity, 0.03)
		require.InDelta(p.t, p.r.Sys.Limits.ConveyMain, n.Slow[0].Least, 1e-9)
		var others []string
		for _, g := range []string{"a", "b", "c"} {
			if !slices.Contains(n.Open.Gates, g) {
				others = append(others, g)
			}
		}
		fewest := 0
		var best, short []string // of equal sets that with the fewest ports under their need
		for k := 1; k <= len(others) && fewest == 0; k++ {
			for _, pick := range combin.Combinations(len(others), k) {
				var more []string
				for _, x := range pick {
					more = append(more, others[x])
				}
				open := append(slices.Clone(n.Open.Gates), more...)
				if !carries(open, []string{"main"}) {
					continue
				}
				fewest = k
				var under []string
				for i, port := range p.r.Sys.Ports {
					if slices.Contains(open, strings.TrimPrefix(port.ID, "port-")) && p.s.PortFlow(i) < port.Need {
						under = append(under, port.ID)
					}
				}
				if best == nil || len(under) < len(short) {
					best, short = more, under
				}
			}
		}
		require.Equal(p.t, best, n.Together)
		require.Equal(p.t, short, n.Short)
		if fewest > 0 {
			require.True(p.t, carries(append(slices.Clone(n.Open.Gates), n.Together...), []string{"main"}))
			require.Empty(p.t, n.Clear)
		}
	}
}
