package trial

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"lostair/diagnose/airflow"
	"lostair/diagnose/trial/plant"
	"lostair/diagnose/trial/survey"
	"lostair/readings"
	"lostair/readings/units"
)

func mustCase(t *testing.T, seed uint64, o Options) *Case {
	t.Helper()
	c, err := NewCase(seed, o)
	require.NoError(t, err)
	return c
}

func TestSameSeedSameCase(t *testing.T) {
	for seed := range uint64(6) {
		o := Options{Ports: 9}
		a, b := mustCase(t, seed, o), mustCase(t, seed, o)
		require.Equal(t, string(a.SystemYAML), string(b.SystemYAML))
		require.Equal(t, string(a.SurveyCSV), string(b.SurveyCSV))
		require.Equal(t, string(a.BaselineCSV), string(b.BaselineCSV))
		require.NotEqual(t, string(a.SurveyCSV), string(mustCase(t, seed+100, o).SurveyCSV))
	}
}

func TestTrueFlowsBalance(t *testing.T) {
	for seed := range uint64(25) {
		c := mustCase(t, seed, Options{Ports: 4 + int(seed%9)})
		for _, f := range c.Truth.Flows {
			require.NoError(t, c.world.at(f.Open, nil))
			require.Less(t, c.world.s.Imbalance, 1e-9)
			var in float64
			for i := range c.System.Ports {
				in += c.world.s.PortFlow(i)
			}
			// the rest comes in through leaks and the joints
			require.Less(t, in, c.world.s.CollectorFlow())
			for i, p := range f.Ports {
				ix, ok := c.System.PortNamed(p)
				require.True(t, ok)
				require.Equal(t, c.world.s.PortFlow(ix), f.Flow[i])
			}
		}
	}
}

func TestCasesAreAsPlanned(t *testing.T) {
	const n = 160
	sound, wrong, base, several := 0, 0, 0, 0
	kinds := map[string]int{}
	hows := map[string]int{}
	for seed := range uint64(n) {
		c := mustCase(t, seed, Options{Ports: 3 + int(seed%5)})
		if c.Truth.Mains() == 0 {
			sound++
		}
		if c.Truth.Mains() > 1 {
			several++
		}
		if c.Truth.Baseline {
			base++
			require.Len(t, c.Baselines, 1)
		}
		has := false
		for _, f := range c.Truth.Faults {
			kinds[f.Kind]++
			if f.Kind == ReadingWrong {
				has = true
				hows[f.How]++
			}
		}
		if has {
			wrong++
		}
		require.Len(t, c.Survey.Rows, c.Truth.Readings)
	}
	assert.InDelta(t, n/3.0, sound, 18)
	assert.InDelta(t, n*0.23, several, 18)
	assert.InDelta(t, n/2.0, base, 20)
	assert.InDelta(t, n*0.15, wrong, 14)
	for _, k := range append(MainKinds(), Undersized, ReadingWrong) {
		assert.Greater(t, kinds[k], 6, k)
	}
	for _, h := range []string{"unit", "digits", "sign", "gate"} {
		assert.Greater(t, hows[h], 0, h)
	}
}

// What was asked for happens: a severe fault of each kind, at a known place,
// moves the readings in the direction that it must.
func TestFaultsDoWhatTheyShould(t *testing.T) {
	for _, k := range MainKinds() {
		c := mustCase(t, 4, Options{Ports: 6, Kinds: []string{k}, Style: survey.Rich, Wrong: No, Baseline: Yes})
		require.Equal(t, 1, c.Truth.Mains(), k)
		f := c.flaws[0]
		require.NoError(t, c.world.at(readings.Open{All: true}, nil))
		with := c.world.s.CollectorFlow()
		c.world.setFlaws(nil, 0)
		require.NoError(t, c.world.at(readings.Open{All: true}, nil))
		without := c.world.s.CollectorFlow()
		switch f.kind {
		case Leak:
			assert.Greater(t, with, without, k)
		case GateLeaking:
			assert.Equal(t, with, without, "with all open no shut gate leaks")
		default:
			assert.Less(t, with, without, k)
		}
	}
}

// A leak lies where the truth says: cut into the duct, it draws in the flow of
// an orifice of its area under the suction at that place.
func TestLeakIsAnOrificeAtItsPlace(t *testing.T) {
	n := 0
	for seed := uint64(0); n < 12; seed++ {
		c := mustCase(t, seed, Options{Kinds: []string{Leak}, Wrong: No})
		f := &c.flaws[0]
		if f.duct < 0 || f.along >= 1 {
			continue
		}
		n++
		m, w := c.world.m, c.world
		x := f.node(m)
		require.InDelta(t, f.at, m.Position(x).From, 1e-9)
		require.NoError(t, w.at(readings.Open{All: true}, nil))
		p := w.s.P[x]
		want := 0.61 * f.size * math.Sqrt(2*math.Abs(p)/m.Air.Density)
		in := w.s.Q[x]
		for y := range m.Segments() {
			if m.Position(y).Parent == x {
				in -= w.s.Q[y]
			}
		}
		want += w.c.Seep[x] * math.Pow(math.Abs(p), c.built.opt.air.LeakExponent)
		require.InEpsilon(t, want, math.Abs(in), 1e-4)
	}
}

func TestSpreadIsWhatItSays(t *testing.T) {
	var hood, tapBias []float64
	for seed := range uint64(120) {
		c := mustCase(t, seed, Options{Ports: 8, Style: survey.Sparse, Sound: true, Baseline: No})
		scale := 1.0
		if u := c.System.Uncertainty.Losses; u > 0 {
			scale = u / 0.15
		}
		for i := range c.built.parts {
			p := &c.built.parts[i]
			if p.what == airflow.Hood && p.base > 0 {
				v, _ := c.built.value(p)
				hood = append(hood, math.Log(v/p.base)/scale)
			}
		}
		for _, p := range c.System.Ducts {
			for _, tap := range p.Taps {
				tapBias = append(tapBias, c.built.tap[tap.ID].bias)
			}
		}
	}
	assert.InDelta(t, 0, stat.Mean(hood, nil), 0.04)
	assert.InDelta(t, math.Hypot(0.16, 0.10), stat.StdDev(hood, nil), 0.02)
	assert.InDelta(t, 0.02, stat.StdDev(tapBias, nil), 0.003)
}

// Half of an instrument's variance lasts through a survey, half is fresh.
func TestInstrumentErrors(t *testing.T) {
	var lasting, fresh []float64
	for seed := range uint64(150) {
		c := mustCase(t, seed, Options{Ports: 4, Style: survey.Sparse, Sound: true, Baseline: No, Wrong: No, US: No})
		p := c.System.Ports[0].ID
		all := readings.Open{All: true}
		y, err := c.Exact(all, nil, p, units.StaticPressure)
		require.NoError(t, err)
		sd := c.world.meters[0].Sigma(y, 1)
		var e []float64
		for n := range 20 {
			v, err := c.Read(all, nil, p, units.StaticPressure, n)
			require.NoError(t, err)
			e = append(e, (v-y)/sd)
		}
		lasting = append(lasting, stat.Mean(e, nil))
		fresh = append(fresh, stat.Variance(e, nil))
	}
	assert.InDelta(t, 0.5, stat.Mean(fresh, nil), 0.15, "and some rounding")
	assert.InDelta(t, 0.5+0.5/20, stat.Variance(lasting, nil), 0.15)
}

func TestReadIsRepeatable(t *testing.T) {
	c := mustCase(t, 3, Options{})
	all := readings.Open{All: true}
	a, err := c.Read(all, nil, airflow.CollectorInlet, units.StaticPressure, 0)
	require.NoError(t, err)
	_, err = c.Read(readings.Open{}, nil, c.System.Ports[0].ID, units.MeanVelocity, 0)
	require.NoError(t, err)
	b, err := c.Read(all, nil, airflow.CollectorInlet, units.StaticPressure, 0)
	require.NoError(t, err)
	assert.Equal(t, a, b)
	assert.Negative(t, a)
	_, err = c.Read(all, nil, "nowhere", units.StaticPressure, 0)
	assert.Error(t, err)
	_, err = c.Read(readings.Open{Gates: []string{"no such gate"}}, nil, airflow.CollectorInlet, units.StaticPressure, 0)
	assert.Error(t, err)
}

// The signal of a fault grows with its size, and a case without instruments'
// or as-built doubt can't be: SNR is finite and positive.
func TestSignalIsReasonable(t *testing.T) {
	seen, total := 0, 0
	for seed := range uint64(60) {
		c := mustCase(t, seed, Options{Wrong: No, Ports: 3 + int(seed%7)})
		for _, f := range c.Truth.Faults {
			if !f.Main() {
				continue
			}
			total++
			require.False(t, math.IsNaN(f.SNR) || math.IsInf(f.SNR, 0))
			require.GreaterOrEqual(t, f.SNR, 0.99*f.MaxShift, "all readings tell at least what one does")
			if f.Observable {
				seen++
			}
		}
	}
	share := float64(seen) / float64(total)
	assert.Greater(t, share, 0.6)
	assert.Less(t, share, 0.97)
}

func TestHistories(t *testing.T) {
	for _, e := range []Event{Nothing, GrowingLeak, LoadingFilter, Reseal} {
		h, err := NewHistory(2, HistoryOptions{Event: e, At: 5, Surveys: 12})
		require.NoError(t, err)
		again, err := NewHistory(2, HistoryOptions{Event: e, At: 5, Surveys: 12})
		require.NoError(t, err)
		require.Len(t, h.Surveys, 12)
		for i, s := range h.Surveys {
			require.Equal(t, string(s.CSV), string(again.Surveys[i].CSV))
			require.Equal(t, s.Date, s.Survey.Rows[0].Date)
		}
		first, last := h.Surveys[0], h.Surveys[11]
		bore0 := plant.Bore(h.System.Ducts[0].Diameter)
		switch e {
		case Nothing:
			assert.Zero(t, last.Leak)
			assert.Equal(t, 1.0, last.Filter)
		case GrowingLeak:
			assert.Zero(t, first.Leak)
			assert.InEpsilon(t, 0.05*bore0, last.Leak, 1e-9)
			assert.InEpsilon(t, 0.05*bore0/7, h.Surveys[5].Leak, 1e-9)
		case LoadingFilter:
			assert.InEpsilon(t, 3, last.Filter, 1e-9)
		case Reseal:
			assert.InEpsilon(t, 0.05*bore0, h.Surveys[4].Leak, 1e-9)
			assert.Zero(t, h.Surveys[5].Leak)
		}
	}
}

func TestQuickLeavesTheSurveyAsItIs(t *testing.T) {
	a, b := mustCase(t, 5, Options{Ports: 5}), mustCase(t, 5, Options{Ports: 5, Quick: true})
	assert.Equal(t, string(a.SurveyCSV), string(b.SurveyCSV))
	for _, f := range b.Truth.Faults {
		assert.Equal(t, f.MaxShift, f.SNR)
	}
}
