package airflow_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/readings/units"
)

// In whatever order the parts stand, their points agree with one another: what
// the cyclone loses lies between its two points, the fan's inlet before all that
// is behind it, and the filter's drop is all that is left behind the fan.
func TestPointsBetweenTheParts(t *testing.T) {
	const q = units.StaticPressure
	for _, order := range []string{"", "  order: [cyclone, filter, fan]\n", "  order: [fan, cyclone, filter]\n", "  order: [filter, cyclone, fan]\n"} {
		text := strings.Replace(twoDrops, "ducts:", "@ducts:", 1)
		text = strings.Replace(text, "@ducts:", "ducts:", 1)
		i := strings.Index(text, "\nducts:")
		require.Positive(t, i)
		if !strings.Contains(text[:i], "cyclone:") {
			text = text[:i] + "\n  cyclone: {drop: 400, at: 900}" + text[i:]
		}
		if !strings.Contains(text[:i], "filter:") {
			text = strings.Replace(text, "\nducts:", "\n  filter: {drop: 120, at: 900}\nducts:", 1)
		}
		text = strings.Replace(text, "\nducts:", "\n"+order+"ducts:", 1)
		m, s, cfg := solved(t, text, "lathe")
		at := func(point string) float64 { return value(t, m, s, cfg, point, q) }
		drop := value(t, m, s, cfg, airflow.FilterPoint, units.PressureDrop)
		assert.Greater(t, at(airflow.CycloneInlet), at(airflow.CycloneOutlet), order)
		assert.Greater(t, at(airflow.FanOutlet), at(airflow.FanInlet), order)
		switch {
		case order == "":
			assert.InDelta(t, drop, at(airflow.FanOutlet), 1e-6)
			assert.InDelta(t, 0, at(airflow.AfterFilter), 1e-6)
			assert.InDelta(t, at(airflow.CollectorInlet), at(airflow.CycloneInlet), 1e-6)
			assert.InDelta(t, at(airflow.FanInlet), at(airflow.CycloneOutlet), 1e-6)
		case strings.Contains(order, "filter, fan"):
			assert.InDelta(t, 0, at(airflow.FanOutlet), 1e-6)
			assert.InDelta(t, at(airflow.CycloneOutlet)-drop, at(airflow.AfterFilter), 1e-6)
			assert.InDelta(t, at(airflow.FanInlet), at(airflow.AfterFilter), 1e-6)
		case strings.Contains(order, "cyclone, filter"):
			assert.InDelta(t, at(airflow.FanOutlet), at(airflow.CycloneInlet), 1e-6)
			assert.InDelta(t, drop, at(airflow.CycloneOutlet), 1e-6)
		}
	}
}

// A total pressure is the static one and the velocity pressure together.
func TestTotalPressure(t *testing.T) {
	m, s, cfg := solved(t, twoDrops, "lathe")
	p := value(t, m, s, cfg, airflow.CollectorInlet, units.StaticPressure)
	assert.InEpsilon(t, p+value(t, m, s, cfg, airflow.CollectorInlet, units.VelocityPressure), value(t, m, s, cfg, airflow.CollectorInlet, units.TotalPressure), 1e-9)
}

// By the fan's own law a motor's current and power fall with the flow: all gates
// shut it takes least. A slower wheel takes less by the cube of its speed.
func TestMotorFollowsTheFlow(t *testing.T) {
	m, open, cfg := solved(t, twoDrops, "lathe")
	shut := m.NewState()
	c := m.Coefs()
	none, err := m.Configure(false, nil, nil)
	require.NoError(t, err)
	require.NoError(t, shut.Solve(&c, none))
	for _, q := range []units.Quantity{units.MotorCurrent, units.MotorPower} {
		assert.Greater(t, value(t, m, open, cfg, airflow.FanPoint, q), value(t, m, shut, none, airflow.FanPoint, q), q.String())
	}
	full := value(t, m, open, cfg, airflow.FanPoint, units.MotorPower)
	slow := m.NewState()
	c.Speed = 0.8
	require.NoError(t, slow.Solve(&c, cfg))
	assert.InEpsilon(t, 0.8*0.8*0.8, value(t, m, slow, cfg, airflow.FanPoint, units.MotorPower)/full, 0.02)
	assert.InEpsilon(t, 0.8, value(t, m, slow, cfg, airflow.FanPoint, units.FanSpeed)/value(t, m, open, cfg, airflow.FanPoint, units.FanSpeed), 1e-9)
}
