package story

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/diagnose/internal/indicator"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/observe"
)

// boundOf is a survey of the rules' shop, bound.
func boundOf(t *testing.T, r *kit.Rules, h kit.Hurt) *observe.Bound {
	t.Helper()
	b, bad := observe.Bind(r.M, r.Survey(h, kit.RuleTaps, nil))
	require.NoError(t, bad.Err())
	return b
}

// taught is a tracker that two sound surveys of the rules' shop have taught.
func taught(t *testing.T) (*kit.Rules, *indicator.Tracker) {
	t.Helper()
	r := kit.NewRules(t)
	b := boundOf(t, r, kit.Sound)
	k, err := indicator.New(t.Context(), r.M, []*observe.Bound{b, b}, []*observe.Bound{b})
	require.NoError(t, err)
	return r, k
}

// together is several hurts at once.
func together(list []kit.Hurt) kit.Hurt {
	return func(r *kit.Rules, c *airflow.Coefs) {
		for _, h := range list {
			h(r, c)
		}
	}
}
