package fault

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/route"
	"lostair/diagnose/trial/plant"
	"lostair/readings/units"
)

// Laws over random systems: what the air must do whatever the shop looks like.

type shop struct {
	m    *airflow.Model
	s    *airflow.State
	c    airflow.Coefs
	port int
	cfg  airflow.Config
}

func anyShop(t *rapid.T) *shop {
	sys := plant.New(rapid.Uint64Range(1, 5000).Draw(t, "seed"), rapid.IntRange(1, 14).Draw(t, "ports"), units.Metric)
	m, err := airflow.New(sys, airflow.Options{Join: airflow.Join(rapid.IntRange(0, 1).Draw(t, "join"))})
	require.NoError(t, err)
	x := &shop{m: m, s: m.NewState(), c: m.Coefs(), port: rapid.IntRange(0, len(sys.Ports)-1).Draw(t, "port")}
	x.cfg = route.Alone(m, x.port)
	return x
}

func (x *shop) flow(t *rapid.T) float64 {
	require.NoError(t, x.s.Solve(&x.c, x.cfg))
	require.Less(t, x.s.Imbalance, 1e-9)
	return x.s.PortFlow(x.port)
}

// More speed, more air, at every port.
func TestFlowRisesWithSpeed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := anyShop(t)
		a := rapid.Float64Range(0.3, 1.2).Draw(t, "speed")
		x.c.Speed = a
		slow := x.flow(t)
		x.c.Speed = a * rapid.Float64Range(1.01, 1.5).Draw(t, "faster")
		require.Greater(t, x.flow(t), slow)
	})
}

// No fault but that of another port's gate, which takes nothing away when it
// is not fully open, gives a port more air than it has in the sound system.
func TestNoFaultHelpsItsOwnPort(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := anyShop(t)
		sound := x.flow(t)
		all := Sites(x.m)
		s := all[rapid.IntRange(0, len(all)-1).Draw(t, "site")]
		if !onTheWay(x, s) {
			return
		}
		v := s.Variants[rapid.IntRange(0, len(s.Variants)-1).Draw(t, "variant")]
		v.Apply(&x.c, Severities[v.Kind].Mean+Severities[v.Kind].Sd*rapid.Float64Range(-1.5, 1.5).Draw(t, "z"))
		require.LessOrEqual(t, x.flow(t), sound*(1+1e-9), "%v at %s", s.Kind, s.Where)
	})
}

// onTheWay: whether a fault lies where the port's own air passes, or at the
// collector; a leak at the port's own gate is no loss to it while it is open,
// and a hole in a bin that the fan blows into lets air out, which helps.
func onTheWay(x *shop, s *Site) bool {
	if s.Kind == GateLeaking || s.Where == "bin" && blownInto(x.m.Sys.Collector.Order) {
		return false
	}
	for d := x.m.Sys.Ports[x.port].Duct; d >= 0; d = x.m.Sys.Ducts[d].Into {
		if d == s.Duct {
			return true
		}
	}
	return s.Duct < 0
}

// blownInto: whether the fan stands before the cyclone and its bin.
func blownInto(order []duct.Part) bool {
	return slices.Index(order, duct.Fan) < slices.Index(order, duct.Cyclone)
}

// A worse fault of a kind takes no less air from its port than a milder one.
func TestWorseIsWorse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := anyShop(t)
		all := Sites(x.m)
		s := all[rapid.IntRange(0, len(all)-1).Draw(t, "site")]
		if !onTheWay(x, s) {
			return
		}
		v := s.Variants[0]
		sp := Severities[v.Kind]
		z := sp.Mean + sp.Sd*rapid.Float64Range(-1.5, 1).Draw(t, "z")
		dz := sp.Sd * rapid.Float64Range(0.1, 0.5).Draw(t, "more")
		if LessBad(v.Kind, v.Severity(z+dz), v.Severity(z)) {
			dz = -dz
		}
		old := x.c.Clone()
		v.Apply(&x.c, z)
		mild := x.flow(t)
		x.c = old
		v.Apply(&x.c, z+dz)
		require.LessOrEqual(t, x.flow(t), mild*(1+1e-9), "%v at %s", s.Kind, s.Where)
	})
}
