package doubt_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/internal/doubt"
	"lostair/readings"
	"lostair/readings/units"
)

// A baseline with pressures so many times those of its page is one in another unit, but
// where the page only guesses at the fan: then a stronger fan shows the same. What no fan
// explains is said of either.
func TestTrustedBesideAGuessedFan(t *testing.T) {
	const page = `
units: us
collector:
  inlet: 6
%s
ducts:
  - {id: main, into: collector, diameter: 6, length: 10, material: spiral, taps: {M1: 4, M2: 7}}
  - {id: drop, into: main, diameter: 5, length: 6, material: spiral, taps: {S1: 3}, gate: saw}
ports:
  - {id: saw, duct: drop, hood: 1.2}
`
	const curve = "  fan: {curve: [[0, 8], [400, 7.6], [800, 6.5], [1200, 4], [1500, 1]]}"
	bind := func(fan string, times float64) string {
		sys, bad := systemfile.Load([]byte(fmt.Sprintf(page, fan)), "shop.yaml")
		require.NoError(t, bad.Err())
		m, err := airflow.New(sys, airflow.Options{})
		require.NoError(t, err)
		c, st := m.Coefs(), m.NewState()
		cfg, err := m.Configure(true, nil, nil)
		require.NoError(t, err)
		require.NoError(t, st.Solve(&c, cfg))
		var csv strings.Builder
		csv.WriteString("open,point,quantity,value,unit\n")
		for _, tap := range []string{"M1", "M2", "S1"} {
			p, err := m.ProbeAt(tap, units.StaticPressure)
			require.NoError(t, err)
			fmt.Fprintf(&csv, "all,%s,static_pressure,%g,inH2O\n", tap, times*units.Pressure.FromSI(units.US, st.Value(p)))
		}
		p, err := m.ProbeAt("saw", units.MeanVelocity)
		require.NoError(t, err)
		for range 3 {
			fmt.Fprintf(&csv, "all,saw,velocity,%g,fpm\n", units.Velocity.FromSI(units.US, st.Value(p)))
		}
		s, list := readings.Load(strings.NewReader(csv.String()), "base.csv", units.US)
		require.NoError(t, list.Err())
		_, wrong := doubt.BindTrusted(m, s)
		return wrong.Error()
	}
	assert.Empty(t, bind(curve, 1.2))
	assert.Contains(t, bind(curve, 1.62), "base.csv:2: pressure in inH2O is about 1.62 times what the system shows")
	assert.Empty(t, bind("", 1.62), "without a curve it may be a stronger fan")
	assert.Empty(t, bind("  fan: {motor: 2, wheel: 12}", 1.62))
	assert.Contains(t, bind("  fan: {most_air: 1500, most_suction: 8}", 1.62), "1.62 times", "two ends are known well enough")
	assert.Contains(t, bind("", 4), "check the unit", "no fan is four times as strong as the guess")
	assert.Contains(t, bind("", -1), "suction")
}
