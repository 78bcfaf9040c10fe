package trial

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/diagnose/trial/plant"
	"lostair/readings/units"
)

// However wide the spread, no joint or shut gate of a sound plant leaks like a
// fault: what is found there would be no false alarm.
func TestASoundPlantHasNoHole(t *testing.T) {
	bound, free := 0, 0
	for seed := range uint64(40) {
		o := Options{Spread: 3, Quick: true}.settle(seed)
		b := build(plant.New(seed, 6, units.Metric), o, seed, nil)
		m := plant.MustModel(b.sys, o.air)
		for i := range b.parts {
			p := &b.parts[i]
			if p.what != airflow.Seepage && p.what != airflow.ShutGate {
				require.Zero(t, p.most)
				continue
			}
			v, slope := b.value(p)
			area := v
			if p.what == airflow.Seepage { // at the pressure of a leakage test
				area = v * math.Pow(testPressure, o.air.LeakExponent) / (0.61 * math.Sqrt(2*testPressure/m.Air.Density))
			}
			bore := m.Position(m.DuctSegments(int(p.duct))[0]).Bore
			if p.base < p.most { // a page may ask for more, of a long wide duct
				require.LessOrEqual(t, area, soundLeak*bore*(1+1e-9))
			}
			if v == p.most {
				bound++
				require.Zero(t, slope)
			} else {
				free++
				require.InEpsilon(t, v, slope, 1e-12)
			}
		}
	}
	require.Positive(t, bound)
	require.Greater(t, free, bound, "most leak little anyway")
}

// Nor is a fan far below its curve, or a filter far above its drop, part of a
// sound plant, however many of its elements lie off; all else may.
func TestSoundPlantsHaveASoundCollector(t *testing.T) {
	o := Stress()
	o.Off, o.Ports, o.Sound, o.Quick = 1, 6, true, true
	c, err := NewCase(7, o)
	require.NoError(t, err)
	off := map[airflow.What]bool{}
	for i, p := range c.built.param {
		off[airflow.What(p.key[0])] = off[airflow.What(p.key[0])] || c.built.off[i] != 0
	}
	for w, want := range map[airflow.What]bool{airflow.FanSpeed: false, airflow.FanPressure: false, airflow.FilterLoss: false,
		airflow.CycloneLoss: true, airflow.Friction: true, airflow.OpenGate: true} {
		require.Equal(t, want, off[w], "part %d", w)
	}
}
