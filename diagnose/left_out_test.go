package diagnose

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/readings/units"
)

// Parameters that a thinned survey leaves out stay at their means, and give a
// flow the spread that they gave it before.
func TestLeftOutSpreadComesBack(t *testing.T) {
	r := newRules(t)
	b, bad := bind(r.m, r.survey(sound, []string{"A1", "A2", "M"}, nil))
	require.NoError(t, bad.Err())
	var alongA []int // with gate a alone open, c has no say
	for i, o := range b.obs {
		if b.configs[o.cfg].open.String() == "a" {
			alongA = append(alongA, i)
		}
	}
	require.NotEmpty(t, alongA)
	b = b.only(alongA)
	u := newUnknowns(r.m)
	l := newLayout(u, b)
	make1 := func() *study { return newStudy(r.m, u, l, b, prior{mean: make([]float64, l.n), scale: 1}) }

	// all that moves nothing but drop c is left out
	whole, less := make1(), make1()
	use := make([]bool, whole.n)
	for x := range use {
		use[x] = true
	}
	mine := map[int32]bool{}
	for _, p := range u.parts {
		for k, x := range p.ix {
			if x >= 0 && k == 0 && int(p.Duct) == r.duct("hose-c") {
				mine[x] = true
			}
		}
	}
	require.NotEmpty(t, mine)
	for x := range mine {
		use[x] = false
	}
	less.reduce(use)
	require.Equal(t, whole.n-len(mine), less.n)

	port, err := r.m.ProbeAt("port-c", units.FlowRate)
	require.NoError(t, err)
	var sd [3]float64
	for i, s := range []*study{whole, less} {
		g, err := s.searchAll(context.Background(), nil, nil, nil)
		require.NoError(t, err)
		e := s.estimates(s.m.NewState(), g.all[0], alone(r.m, 2), []airflow.Probe{port}, false, nil)
		sd[i] = e[0].sd
		if i == 1 {
			s.lost.pulls = nil
			sd[2] = s.estimates(s.m.NewState(), g.all[0], alone(r.m, 2), []airflow.Probe{port}, false, nil)[0].sd
		}
	}
	require.InEpsilon(t, sd[0], sd[1], 0.02)
	require.Less(t, sd[2], 0.95*sd[1], "without what was left out")
}
