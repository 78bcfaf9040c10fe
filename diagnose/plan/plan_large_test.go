package plan

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/trial"
	"lostair/readings/units"
)

// roundOf picks n readings among so many offers; tells is what they tell of
// faults for each minute.
func roundOf(t *testing.T, m *airflow.Model, most, n int) (pl *Planner, tells float64) {
	t.Helper()
	pl, err := newPlanner(context.Background(), m, nil)
	require.NoError(t, err)
	pl.most = most
	require.NoError(t, pl.gather(t.Context()))
	for range n {
		_, ok := pl.pick(math.Inf(1))
		require.True(t, ok)
	}
	minutes := 0.0
	for _, s := range pl.stops() {
		minutes += s.Minutes
	}
	for k, x := range pl.snr2 {
		tells += pl.Sites[k].Prior * math.Log1p(x)
	}
	return pl, tells / minutes
}

// Of a large plant not every reading is offered, and its round is as good.
func TestALargePlantsRoundIsAsGood(t *testing.T) {
	m, err := airflow.New(trial.Plant(7, 60, units.Metric), airflow.Options{})
	require.NoError(t, err)
	all, whole := roundOf(t, m, math.MaxInt, 30)
	some, tells := roundOf(t, m, 300, 30)
	require.Less(t, len(some.Offers), len(all.Offers)/2)
	require.Greater(t, tells, 0.9*whole)

	few := map[string]int{}
	for i := range some.Offers {
		few[some.Offers[i].key]++
	}
	for key, n := range few {
		if key != "all" && key != "none" {
			require.LessOrEqual(t, n, fewestOffers+1, key)
		}
	}
	require.Greater(t, few["all"], fewestOffers+1, "one setting for many readings is never cut short")
}

func TestAPlantOfAShopIsOfferedWhole(t *testing.T) {
	m, err := airflow.New(trial.Plant(7, 24, units.Metric), airflow.Options{})
	require.NoError(t, err)
	all, _ := roundOf(t, m, math.MaxInt, 5)
	usual, _ := roundOf(t, m, mostOffers, 5)
	require.Equal(t, len(all.Offers), len(usual.Offers))
	require.Equal(t, all.stops(), usual.stops())
}

// A gate that was never open is not seen half shut, however far.
func TestWhatARoundCantShow(t *testing.T) {
	m, err := airflow.New(trial.Plant(7, 5, units.Metric), airflow.Options{})
	require.NoError(t, err)
	pl, err := newPlanner(context.Background(), m, nil)
	require.NoError(t, err)
	pl.Sound()
	for _, sh := range pl.Shows() { // nothing picked
		require.Equal(t, sh.Places, sh.Blind, sh.Kind)
		require.Zero(t, sh.Best, sh.Kind)
		require.Empty(t, sh.BestAt, sh.Kind)
	}
}

// Of a plant of thousands of ports not each stands alone among the settings, but the
// one that is complained of does; a shop's are all there.
func TestSettingsOfALargePlant(t *testing.T) {
	flat := func(n int) *Planner {
		var ducts, ports strings.Builder
		for i := range n {
			fmt.Fprintf(&ducts, "  - {id: d%d, into: main, enters: 45, diameter: 100, length: 2, material: spiral, gate: g%d}\n", i, i)
			fmt.Fprintf(&ports, "  - {id: p%d, duct: d%d, hood: 1}\n", i, i)
		}
		sys, bad := duct.Load([]byte("units: metric\ncollector: {inlet: 500, fan: {curve: [[0, 2400], [9000, 1100]]}}\nducts:\n"+
			"  - {id: main, into: collector, diameter: 500, length: 4, material: spiral}\n"+ducts.String()+"ports:\n"+ports.String()), "flat.yaml")
		require.NoError(t, bad.Err())
		m, err := airflow.New(sys, airflow.Options{})
		require.NoError(t, err)
		return &Planner{S: &fit.Study{M: m}}
	}
	require.Len(t, flat(40).configs(), 42) // with all and none
	large := flat(1300)
	require.Less(t, len(large.configs()), 700)
	large.weak = "p1233"
	found := false
	for _, c := range large.configs() {
		found = found || c.Open.String() == "g1233"
	}
	require.True(t, found)
}
