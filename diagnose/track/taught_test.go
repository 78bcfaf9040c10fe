package track

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/internal/indicator"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/observe"
)

// taught is a tracker that two sound surveys of the rules' shop have taught.
func taught(t *testing.T) (*kit.Rules, *indicator.Tracker) {
	t.Helper()
	r := kit.NewRules(t)
	b, bad := observe.Bind(r.M, r.Survey(kit.Sound, kit.RuleTaps, nil))
	require.NoError(t, bad.Err())
	k, err := indicator.New(t.Context(), r.M, []*observe.Bound{b, b}, []*observe.Bound{b})
	require.NoError(t, err)
	_, err = k.FitAll(t.Context(), []*observe.Bound{b}) // works out the ports' flows
	require.NoError(t, err)
	return r, k
}
