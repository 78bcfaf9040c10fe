package sheet

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"lostair/diagnose/duct"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report/samples"
)

// gatesMoved counts the gates that a person moves on a round, all shut at first.
func gatesMoved(s *duct.System, stops []Stop) int {
	n := 0
	before := readings.Open{}
	for _, x := range stops {
		open, shut := moves(s, before, x.Open)
		n += len(open) + len(shut)
		before = x.Open
	}
	return n
}

// On small rounds the route moves no more gates than the best of all orders.
func TestRouteIsBestOfAll(t *testing.T) {
	s := samples.BigShop(t, 6, units.Metric)
	gates := s.Gates()
	rapid.Check(t, func(t *rapid.T) {
		var stops []Stop
		n := rapid.IntRange(1, 5).Draw(t, "settings")
		for range n {
			open := rapid.SliceOfNDistinct(rapid.SampledFrom(gates), 0, 4, rapid.ID[string]).Draw(t, "open")
			slices.Sort(open)
			stops = append(stops, Stop{Row: readings.Row{Open: readings.Open{Gates: open}, Point: "M1", Quantity: units.StaticPressure, Value: math.NaN()}})
		}
		best := math.MaxInt
		permute(stops, 0, func(p []Stop) { best = min(best, gatesMoved(s, p)) })
		got := Route(s, stops)
		require.Len(t, got, len(stops))
		assert.Equal(t, best, gatesMoved(s, got))
	})
}

func permute(a []Stop, k int, f func([]Stop)) {
	if k == len(a) {
		f(a)
		return
	}
	for i := k; i < len(a); i++ {
		a[k], a[i] = a[i], a[k]
		permute(a, k+1, f)
		a[k], a[i] = a[i], a[k]
	}
}

// A long round: each gate alone costs two moves, all open at the end the rest.
func TestRouteOfTheUsualRound(t *testing.T) {
	for _, n := range []int{3, 12, 40} {
		s := samples.BigShop(t, n, units.Metric)
		stops := make([]Stop, 0)
		for _, r := range UsualRound(s) {
			stops = append(stops, Stop{Row: r})
		}
		got := Route(s, stops)
		require.Len(t, got, len(stops), "no stop is lost")
		assert.Equal(t, 1+2*(n-1)+(n-1), gatesMoved(s, got), "%d ports", n)
		seen := map[string]bool{}
		last := ""
		for i := range got {
			k := setupKey(&got[i])
			if k != last {
				assert.False(t, seen[k], "a gate setting comes twice")
				seen[k], last = true, k
			}
			got2 := fmt.Sprint(got[i].Point, got[i].Quantity, k)
			assert.False(t, seen[got2], "a stop comes twice")
			seen[got2] = true
		}
	}
}

func TestUsualRound(t *testing.T) {
	s := samples.BigShop(t, 3, units.Metric)
	var got []string
	for _, r := range UsualRound(s) {
		got = append(got, r.Open.String()+" "+r.Point+" "+r.Quantity.String()+" "+r.Instrument)
	}
	assert.Equal(t, []string{
		"saw T-saw static_pressure gauge", "saw saw velocity vane", "saw M1 static_pressure gauge",
		"planer T-planer static_pressure gauge", "planer planer velocity vane", "planer M1 static_pressure gauge",
		"sander T-sander static_pressure gauge", "sander sander velocity vane", "sander M1 static_pressure gauge",
		"all M1 static_pressure gauge", "all filter pressure_drop gauge",
		"none M1 static_pressure gauge",
	}, got)
}

func TestNumberList(t *testing.T) {
	assert.Equal(t, "1, 3–5, 9", numberList([]int{1, 3, 4, 5, 9}))
	assert.Equal(t, "1, 3, 5, 7, 9, 11 …", numberList([]int{1, 3, 5, 7, 9, 11, 13}))
}

// Without a tap next to the collector its inlets are read.
func TestUsualRoundWithoutTaps(t *testing.T) {
	s := samples.BigShop(t, 3, units.Metric)
	for i := range s.Ducts {
		if s.Ducts[i].Into < 0 {
			s.Ducts[i].Taps = nil
		}
	}
	require.NoError(t, s.Finish().Err())
	at := map[string]int{}
	for _, r := range UsualRound(s) {
		at[r.Point]++
	}
	assert.Equal(t, 5, at["collector-inlet"])
	assert.Equal(t, 1, at["fan-inlet"])
	assert.Zero(t, at["M1"])
}
