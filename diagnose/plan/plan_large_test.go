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
	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/trial/plant"
	"lostair/readings"
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
	m, err := airflow.New(plant.New(7, 60, units.Metric), airflow.Options{})
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
	m, err := airflow.New(plant.New(7, 24, units.Metric), airflow.Options{})
	require.NoError(t, err)
	all, _ := roundOf(t, m, math.MaxInt, 5)
	usual, _ := roundOf(t, m, mostOffers, 5)
	require.Equal(t, len(all.Offers), len(usual.Offers))
	require.Equal(t, all.stops(), usual.stops())
}

// A gate that was never open is not seen half shut, however far.
func TestWhatARoundCantShow(t *testing.T) {
	m, err := airflow.New(plant.New(7, 5, units.Metric), airflow.Options{})
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
		m, err := airflow.New(flatPlant(t, n), airflow.Options{})
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

// flatPlant is one main with n drops, each with its gate.
func flatPlant(t *testing.T, n int) *duct.System {
	t.Helper()
	var ducts, ports strings.Builder
	for i := range n {
		fmt.Fprintf(&ducts, "  - {id: d%d, into: main, enters: 45, diameter: 100, length: 2, material: spiral, gate: g%d}\n", i, i)
		fmt.Fprintf(&ports, "  - {id: p%d, duct: d%d, hood: 1}\n", i, i)
	}
	sys, bad := systemfile.Load([]byte("units: metric\ncollector: {inlet: 500, fan: {curve: [[0, 2400], [9000, 1100]]}}\nducts:\n"+
		"  - {id: main, into: collector, diameter: 500, length: 4, material: spiral}\n"+ducts.String()+"ports:\n"+ports.String()), "flat.yaml")
	require.NoError(t, bad.Err())
	return sys
}

// eachAlone reads every port with its own gate open.
func eachAlone(n int) (rows []readings.Row) {
	for i := range n {
		rows = append(rows, readings.Row{Open: readings.Open{Gates: []string{fmt.Sprintf("g%d", i)}}, Point: fmt.Sprintf("p%d", i), Quantity: units.MeanVelocity})
	}
	return rows
}

// What a row should show is the same with its range and without, in whatever company
// of rows it is worked out.
func TestValuesAreThoseOfRanges(t *testing.T) {
	sys := flatPlant(t, 9)
	rows := eachAlone(9)
	for range 2*atOnce + 3 { // more of one setting than are looked at together
		rows = append(rows, readings.Row{Open: readings.Open{All: true}, Point: "p3", Quantity: units.MeanVelocity})
	}
	ranges, err := Ranges(t.Context(), sys, "round", rows)
	require.NoError(t, err)
	values, err := Values(t.Context(), sys, "round", rows)
	require.NoError(t, err)
	for i := range rows {
		require.Equal(t, ranges[i].Value, values[i].Value)
		require.True(t, math.IsNaN(values[i].Low) && math.IsNaN(values[i].High))
		alone, err := Ranges(t.Context(), sys, "round", rows[i:i+1])
		require.NoError(t, err)
		require.InEpsilon(t, alone[0].Low, ranges[i].Low, 1e-6)
		require.InEpsilon(t, alone[0].High, ranges[i].High, 1e-6)
	}
}

// A round that would take minutes is refused before the work, with what to do.
func TestARoundBeyondUse(t *testing.T) {
	sys := flatPlant(t, 5600)
	_, err := Ranges(t.Context(), sys, "round", eachAlone(5600))
	require.EqualError(t, err, "round: the round sets the gates in 5600 ways, more than 5356 in a plant of 5601 ducts; "+
		"take a shorter round, as a plan chooses it, or split the plant into its duct systems")
	_, err = Values(t.Context(), sys, "round", make([]readings.Row, mostRows+1))
	require.ErrorContains(t, err, "the round has 20001 readings, more than 20000; take a shorter round")
}

// Whoever waits no longer is heard between two readings.
func TestRangesStop(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	stop()
	_, err := Values(ctx, flatPlant(t, 3), "round", eachAlone(3))
	require.ErrorIs(t, err, context.Canceled)
}
