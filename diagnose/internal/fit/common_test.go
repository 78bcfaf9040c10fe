package fit_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
)

// What surveys of one system have in common of a severity is how far it moves when the
// system was built otherwise: against a fit of each such system, one parameter at a time.
func TestWhatSurveysHaveInCommon(t *testing.T) {
	for kind, hurt := range map[fault.Kind]kit.Hurt{
		fault.FanWeak:      kit.FanAt(0.8),
		fault.FilterLoaded: func(_ *kit.Rules, c *airflow.Coefs) { c.Filter *= 2 },
	} {
		commonOf(t, kind, hurt)
	}
}

func commonOf(t *testing.T, kind fault.Kind, hurt kit.Hurt) {
	r := kit.NewRules(t)
	u := asbuilt.NewUnknowns(r.M)
	var weak *fault.Variant
	for _, s := range fault.Sites(r.M) {
		if s.Kind == kind {
			weak = s.Variants[0]
		}
	}
	of := func(built []float64) (*fit.Study, *fit.Fit) {
		with := func(r *kit.Rules, c *airflow.Coefs) {
			u.Coefs(built, c, make([]float64, len(u.Parts)))
			hurt(r, c)
		}
		_, g, _ := kit.RuleSearch(t, with)
		s := g.S
		s.Ref = nil
		f := s.Fit(fit.Hypothesis{Faults: []*fault.Variant{weak}}, s.Before())
		require.True(t, f.Ok())
		return s, f
	}
	s, page := of(make([]float64, u.N))
	told := 1 - s.Variance(page, make([]float64, s.N), []float64{1})/math.Pow(weak.Usual().Sd, 2)
	var sum float64
	const by = 0.5
	for i := range u.N {
		built := make([]float64, u.N)
		built[i] = by
		_, f := of(built)
		sum += math.Pow((f.At.Z[0]-page.At.Z[0])/by/told, 2)
	}
	require.InEpsilon(t, math.Sqrt(sum), math.Sqrt(s.Common(page, 0)), 0.2, kind)
	t.Logf("%s: told %.3f", kind, told)
	require.Zero(t, s.Common(&fit.Fit{Hypothesis: page.Hypothesis}, 0))
}
