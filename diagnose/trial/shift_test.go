package trial

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/diagnose/trial/plant"
	"lostair/diagnose/trial/survey"
)

// Where deviations are small the covariance must account for all that lies
// between the page and the readings: the squared distance is one a reading.
func TestCovarianceAccountsForTheReadings(t *testing.T) {
	for law, join := range map[Law]airflow.Join{MomentumLaw: airflow.Momentum, HandbookLaw: airflow.Handbook} {
		var sum, single, n float64
		for seed := range uint64(50) {
			c := mustCase(t, seed, Options{Ports: 3 + int(seed%8), Sound: true, Baseline: No, Wrong: No, Join: law, Spread: 0.2})
			rows := survey.Plan(c.System, c.Truth.Style, seed, 0)
			o, err := leftOpen(c.built, sheet{c.world, rows})
			require.NoError(t, err)
			shift := offPage(t, c, rows, join)
			for i := range shift {
				single += shift[i] * shift[i] / (o.sd[i] * o.sd[i])
			}
			s, _ := o.of(shift)
			sum += s * s
			n += float64(len(rows))
		}
		assert.InDelta(t, 1, sum/n, 0.12)
		assert.InDelta(t, 1, single/n, 0.35)
	}
}

// offPage is the survey less what the page gives; rows of traverses are left
// out, as the page has no profile.
func offPage(t *testing.T, c *Case, rows []survey.Row, join airflow.Join) []float64 {
	m := plant.MustModel(c.System, airflow.Options{Join: join})
	k, s := m.Coefs(), m.NewState()
	out := make([]float64, len(rows))
	for i := range rows {
		r := &rows[i]
		if r.Position > 0 {
			continue
		}
		cfg, err := m.Configure(r.Open.All, r.Open.Gates, r.HoseOff)
		require.NoError(t, err)
		require.NoError(t, s.Solve(&k, cfg))
		p, err := m.ProbeAt(r.Point, r.Quantity)
		require.NoError(t, err)
		out[i] = c.Survey.Rows[i].Value - s.Value(p.OnAxis())
	}
	return out
}
