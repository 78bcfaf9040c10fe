package fit_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/search"
	"lostair/diagnose/route"
	"lostair/readings/units"
)

// Parameters that a thinned survey leaves out stay at their means, and give a
// flow the spread that they gave it before.
func TestLeftOutSpreadComesBack(t *testing.T) {
	r := kit.NewRules(t)
	b, bad := observe.Bind(r.M, r.Survey(kit.Sound, []string{"A1", "A2", "M"}, nil))
	require.NoError(t, bad.Err())
	var alongA []int // with gate a alone open, c has no say
	for i, o := range b.Observation {
		if b.Configs[o.Cfg].Open.String() == "a" {
			alongA = append(alongA, i)
		}
	}
	require.NotEmpty(t, alongA)
	b = b.Only(alongA)
	u := asbuilt.NewUnknowns(r.M)
	l := fit.NewLayout(u, b)
	make1 := func() *fit.Study { return fit.NewStudy(r.M, u, l, b, fit.Prior{Mean: make([]float64, l.N), Scale: 1}) }

	// all that moves nothing but drop c is left out
	whole, less := make1(), make1()
	use := make([]bool, whole.N)
	for x := range use {
		use[x] = true
	}
	mine := map[int32]bool{}
	for _, p := range u.Parts {
		for k, x := range p.Ix {
			if x >= 0 && k == 0 && int(p.Duct) == r.Duct("hose-c") {
				mine[x] = true
			}
		}
	}
	require.NotEmpty(t, mine)
	for x := range mine {
		use[x] = false
	}
	less.Reduce(use)
	require.Equal(t, whole.N-len(mine), less.N)

	port, err := r.M.ProbeAt("port-c", units.FlowRate)
	require.NoError(t, err)
	var sd [3]float64
	for i, s := range []*fit.Study{whole, less} {
		g, err := search.SearchAll(s, context.Background(), nil, nil, nil)
		require.NoError(t, err)
		e := s.Estimates(s.M.NewState(), g.All[0], route.Alone(r.M, 2), []airflow.Probe{port}, false, nil)
		sd[i] = e[0].Sd
		if i == 1 {
			s.Lost.Pulls = nil
			sd[2] = s.Estimates(s.M.NewState(), g.All[0], route.Alone(r.M, 2), []airflow.Probe{port}, false, nil)[0].Sd
		}
	}
	require.InEpsilon(t, sd[0], sd[1], 0.02)
	require.Less(t, sd[2], 0.95*sd[1], "without what was left out")
}
