package diagnose_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/repair"
	"lostair/diagnose/track"
	"lostair/diagnose/trial"
	"lostair/diagnose/trial/survey"
	"lostair/diagnose/verify"
	"lostair/readings"
	"lostair/readings/units"
)

// scale multiplies all readings of a dimension; by -1 those that have a sign.
func (c *edgeCase) scale(d units.Dimension, by float64) {
	for i := range c.rows {
		if q := c.rows[i].Quantity; q.Dimension() == d && (by > 0 || q == units.StaticPressure) {
			c.set(i, c.rows[i].Value*by)
		}
	}
}

// compared gives every other case a baseline of the sound plant.
func (c *edgeCase) compared(t *testing.T) {
	if c.seed%2 == 1 {
		c.withBaseline(t)
	}
}

func (c *edgeCase) withBaseline(t *testing.T) {
	x, err := trial.NewCase(c.seed, soundly(3+int(c.seed%4), trial.Yes))
	require.NoError(t, err)
	c.sys, c.rows, c.opt.Baselines = x.System, append([]readings.Row(nil), x.Survey.Rows...), x.Baselines
}

// All pressures, or all velocities, are written in another unit than read.
func TestAllInAnotherUnit(t *testing.T) {
	slips := map[units.Dimension][]string{
		units.Pressure: {"Pa", "mmH2O", "inH2O", "kPa", "mbar", "sign", "gauge"},
		units.Velocity: {"m/s", "fpm", "km/h", "ft/s"},
	}
	wrongs(t, 12, 0, func(t *testing.T, c *edgeCase) bool {
		c.compared(t)
		d := []units.Dimension{units.Pressure, units.Velocity}[c.r.IntN(2)]
		c.scale(d, slipBy(t, slips[d][c.r.IntN(len(slips[d]))], d.Symbol(c.sys.Units), d))
		return true
	})
}

// slipBy is the factor by which values are wrong that were read in one unit and
// written in another.
func slipBy(t *testing.T, read, written string, d units.Dimension) float64 {
	switch read {
	case "sign":
		return -1
	case "gauge":
		return 0.11
	case written:
		return 10
	}
	x, err := units.Convert(1, d, read)
	require.NoError(t, err)
	y, err := units.Convert(1, d, written)
	require.NoError(t, err)
	return x / y
}

// One instrument reads a quarter too much or too little all along.
func TestAGaugeThatIsOff(t *testing.T) {
	wrongs(t, 8, 1, func(t *testing.T, c *edgeCase) bool {
		c.compared(t)
		d := []units.Dimension{units.Pressure, units.Velocity}[c.r.IntN(2)]
		c.scale(d, []float64{0.7, 0.8, 1.25, 1.4}[c.r.IntN(4)])
		return true
	})
}

// What the readings do not rule out is named beside a fault that is likelier only
// because such faults are: after a baseline a gauge that shows too little looks
// like a fan that runs slow.
func TestRivalsAreNamedBesideAFault(t *testing.T) {
	c := newEdgeCase(t, 1)
	c.withBaseline(t)
	require.NotContains(t, inWords(c.diagnose(t)), "instrument")
	c.scale(units.Pressure, 0.8)
	r := c.diagnose(t)
	require.True(t, slices.ContainsFunc(r.Page, func(w fault.Written) bool {
		return w.Kind == fault.Instrument && w.Factor != nil && w.Factor.Value < 0.9
	}), r.Page)
}

// The fan stood still: all readings are zero, or what a gauge shows of it.
func TestTheFanStoodStill(t *testing.T) {
	kit.Long(t, "a fan that stood still")
	wrongs(t, 8, 0, func(t *testing.T, c *edgeCase) bool {
		c.compared(t)
		for i := range c.rows {
			c.set(i, 0)
			if c.rows[i].Quantity.Dimension() == units.Pressure && c.seed%4 > 1 {
				c.set(i, float64(c.r.IntN(3)-1))
			}
		}
		return true
	})
}

// metricCase is an edge case whose files are metric.
func metricCase(t *testing.T) *edgeCase {
	for seed := uint64(5); ; seed++ {
		if c := newEdgeCase(t, seed); c.sys.Units == units.Metric {
			return c
		}
	}
}

// inWords lists what was written down wrong as likely as not.
func inWords(r *diagnose.Result) string {
	var out strings.Builder
	for _, w := range r.Page {
		if w.Probability < 0.5 {
			continue
		}
		fmt.Fprintf(&out, "\n%s %s", w.Kind, w.Where)
		switch {
		case w.Twice:
			fmt.Fprintf(&out, " %s twice from %s", w.Unit, w.Really)
		case w.Really != "":
			fmt.Fprintf(&out, " %s really %s", w.Unit, w.Really)
		case w.Factor != nil:
			fmt.Fprintf(&out, " times %.3f", w.Factor.Value)
		}
	}
	return out.String()
}

// What to check is said by name.
func TestMisreadColumnsAreNamed(t *testing.T) {
	said := func(spoil func(c *edgeCase)) string {
		c := metricCase(t)
		spoil(c)
		r := c.diagnose(t)
		return inWords(r)
	}
	require.Contains(t, said(func(c *edgeCase) { c.scale(units.Pressure, 1/9.80665) }), "pressure Pa really mmH2O")
	require.Contains(t, said(func(c *edgeCase) { c.scale(units.Pressure, 249.08891) }), "pressure Pa twice from inH2O")
	require.Contains(t, said(func(c *edgeCase) { c.scale(units.Velocity, 3.6) }), "velocity m/s really km/h")
	require.Contains(t, said(func(c *edgeCase) { c.scale(units.Pressure, -1) }), "instrument static_pressure times -1")
	require.Contains(t, said(func(c *edgeCase) { c.scale(units.Pressure, 0.05) }), "instrument pressure", "whichever factor it is taken for")
	require.Contains(t, said(func(c *edgeCase) {
		c.withBaseline(t)
		c.scale(units.Pressure, 1.3)
	}), " times 1.")
	still := metricCase(t)
	for i := range still.rows {
		still.set(i, 0)
	}
	require.Contains(t, still.diagnose(t).Doubts, fault.Doubt{Kind: fault.AllZero})
}

// A wrong row beside a misread column does not hide it.
func TestMisreadColumnWithAWrongRow(t *testing.T) {
	c := metricCase(t)
	c.scale(units.Pressure, 1/9.80665)
	for i := range c.rows {
		if c.rows[i].Quantity == units.StaticPressure {
			c.set(i, c.rows[i].Value*1.8)
			break
		}
	}
	require.Contains(t, inWords(c.diagnose(t)), "really mmH2O")
}

// A survey held against itself shows nothing, so a copy of it is no baseline.
func TestBaselineThatIsTheSurvey(t *testing.T) {
	x, err := trial.NewCase(22, trial.Options{Ports: 4, Kinds: []string{trial.FanWeak}, Wrong: trial.No, Baseline: trial.No, Quick: true, Style: survey.Rich})
	require.NoError(t, err)
	alone, err := diagnose.Diagnose(t.Context(), x.System, x.Survey, diagnose.Options{})
	require.NoError(t, err)
	require.True(t, slices.ContainsFunc(alone.Faults, func(f diagnose.Fault) bool { return f.Kind == fault.FanWeak }))
	r, err := diagnose.Diagnose(t.Context(), x.System, x.Survey, diagnose.Options{Baselines: []*readings.Survey{x.Survey}})
	require.NoError(t, err)
	require.Equal(t, alone.Candidates, r.Candidates)
	require.Empty(t, r.Baselines)
	require.Contains(t, r.Doubts, fault.Doubt{Kind: fault.BaselineCopied, File: x.Survey.File})
}

// A baseline taken later is asked after, and used.
func TestBaselineDatedAfterTheSurvey(t *testing.T) {
	c := newEdgeCase(t, 1)
	c.withBaseline(t)
	b := c.opt.Baselines[0]
	r := c.diagnose(t)
	require.NotContains(t, r.Doubts, fault.Doubt{Kind: fault.BaselineLater, File: b.File})
	for i := range b.Rows {
		b.Rows[i].Date = "2099-01-01"
	}
	r = c.diagnose(t)
	require.Contains(t, r.Doubts, fault.Doubt{Kind: fault.BaselineLater, File: b.File})
	require.Len(t, r.Baselines, 1)
}

// Where a survey's word is taken, a column that is plainly misread is refused:
// a history, an acceptance, a plan, a baseline. Between two surveys it is said and
// put right.
func TestMisreadColumnsAreRefusedWhereTheyAreTrusted(t *testing.T) {
	c := metricCase(t)
	right := reloaded(t, c.rows, c.sys.Units)
	c.scale(units.Pressure, 1/9.80665)
	wrong := reloaded(t, c.rows, c.sys.Units)
	const what, do = "pressure in Pa is about 0.", "in mmH2O they would be about right"
	for name, err := range map[string]error{
		"history":    second(track.Follow(t.Context(), c.sys, []*readings.Survey{right, wrong}, track.Options{})),
		"acceptance": second(verify.Verify(t.Context(), c.sys, []*readings.Survey{wrong}, verify.Options{})),
		"baseline":   second(diagnose.Diagnose(t.Context(), c.sys, right, diagnose.Options{Baselines: []*readings.Survey{wrong}})),
	} {
		require.ErrorContains(t, err, what, name)
		require.ErrorContains(t, err, do, name)
	}
	pair, err := repair.Compare(t.Context(), c.sys, right, wrong, repair.Options{})
	require.NoError(t, err)
	require.NotNil(t, pair.Slip, "two surveys side by side show which of them is in another unit")
	require.Equal(t, []string{"Pa", "mmH2O"}, []string{pair.Slip.Says, pair.Slip.Really})
	_, err = verify.Verify(t.Context(), c.sys, []*readings.Survey{right}, verify.Options{})
	require.NoError(t, err)
}

// All suctions without their sign are refused too; all as a weak fan would have
// them are not.
func TestWhatIsNotMisread(t *testing.T) {
	c := metricCase(t)
	c.scale(units.Pressure, -1)
	_, err := verify.Verify(t.Context(), c.sys, []*readings.Survey{reloaded(t, c.rows, c.sys.Units)}, verify.Options{})
	require.ErrorContains(t, err, "write suction as a negative static_pressure")
	c = metricCase(t)
	c.scale(units.Pressure, 0.32*0.32)
	c.scale(units.Velocity, 0.32)
	_, err = verify.Verify(t.Context(), c.sys, []*readings.Survey{reloaded(t, c.rows, c.sys.Units)}, verify.Options{})
	require.NoError(t, err)
}

func second[T any](_ T, err error) error { return err }
