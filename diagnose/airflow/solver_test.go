package airflow

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct"
	"lostair/diagnose/duct/systemfile"
	"lostair/readings/units"
)

// solved is a system with its solution by a general root finder:
// testdata/solver/random_trees.py.
type solved struct {
	System  string
	Open    []string
	HoseOff []string `json:"hose_off"`
	Leaks   []struct {
		Place string
		Cm2   float64
	}
	Speed, Filter  float64
	Flows, Static  map[string]float64
	Collector, Bin float64
}

// The flow solver against MINPACK on random trees with joins, changes of
// section, leaks, shut gates, unhooked machines and every order of the
// collector: flows and pressures agree to 1e-6.
func TestSolverAgreesWithGeneralRootFinder(t *testing.T) {
	dir := filepath.Join("..", "..", "testdata", "solver")
	b, err := os.ReadFile(filepath.Join(dir, "expected.json"))
	require.NoError(t, err)
	var cases []solved
	require.NoError(t, json.Unmarshal(b, &cases))
	require.GreaterOrEqual(t, len(cases), 20)
	var worst float64
	for _, want := range cases {
		worst = max(worst, want.compare(t, want.rig(t, dir)))
	}
	t.Logf("%d systems, worst relative difference %.1e", len(cases), worst)
}

// rig is the program's model of a system, as the root finder had it.
func (want *solved) rig(t testing.TB, dir string) *rig {
	sys, problems := systemfile.LoadFile(filepath.Join(dir, want.System))
	require.NoError(t, problems.Err())
	m, err := New(sys, Options{})
	require.NoError(t, err)
	g := newRig(t, m)
	g.cfg, err = m.Configure(false, want.Open, want.HoseOff)
	require.NoError(t, err)
	for _, l := range want.Leaks {
		node := BinNode
		if l.Place != "bin" {
			node = m.DuctSegments(ductNamed(t, sys, l.Place))[0]
		}
		g.c.Leak[node] += l.Cm2 * 1e-4
	}
	g.c.Speed, g.c.Filter = want.Speed, want.Filter
	return g
}

// compare solves, and returns the largest relative difference.
func (want *solved) compare(t testing.TB, g *rig) float64 {
	g.solve()
	sys, worst := g.m.Sys, 0.0
	// relative to the value itself, or to the floor if it is next to nothing
	near := func(want, got, floor float64, what string) {
		e := math.Abs(got-want) / max(math.Abs(want), floor)
		worst = max(worst, e)
		require.LessOrEqual(t, e, 1e-6, "%s %s: %.9g, root finder %.9g", sys.File, what, got, want)
	}
	require.Len(t, want.Flows, len(sys.Ports))
	for id, q := range want.Flows {
		p, ok := sys.PortNamed(id)
		require.True(t, ok)
		near(q, g.s.PortFlow(p), want.Collector/1000, id)
	}
	for id, p := range want.Static {
		near(p, g.at(id, units.StaticPressure), 1, id)
	}
	near(want.Collector, g.s.CollectorFlow(), 0, "collector")
	near(want.Bin, g.s.P[0], 1, "behind the cyclone")
	return worst
}

// The tree of 1,000 ducts that testdata/solver/against_newton.py solved by
// general methods: LOSTAIR_TREE is the folder it wrote to.
func BenchmarkGeneralTree(b *testing.B) {
	dir := os.Getenv("LOSTAIR_TREE")
	if dir == "" {
		b.Skip("LOSTAIR_TREE is not set: see testdata/solver/against_newton.py")
	}
	data, err := os.ReadFile(filepath.Join(dir, "expected-1000.json"))
	require.NoError(b, err)
	var cases []solved
	require.NoError(b, json.Unmarshal(data, &cases))
	g := cases[0].rig(b, dir)
	b.Logf("worst relative difference %.1e", cases[0].compare(b, g))
	for b.Loop() {
		g.s.Cold()
		require.NoError(b, g.s.Solve(&g.c, g.cfg))
	}
	b.ReportMetric(float64(g.s.Iterations), "iterations")
}

func ductNamed(t testing.TB, sys *duct.System, id string) int {
	for i := range sys.Ducts {
		if sys.Ducts[i].ID == id {
			return i
		}
	}
	require.Fail(t, "no such duct", id)
	return -1
}
