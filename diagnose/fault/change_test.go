package fault_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/kit"
)

// changes are one of each kind that a chart follows.
func changes() map[fault.Kind]*fault.Variant {
	spots := func(kind airflow.SlotKind, share float64) []fault.Spot {
		return []fault.Spot{{Slot: airflow.Slot{Kind: kind, Ix: 1}, Share: share}}
	}
	return map[fault.Kind]*fault.Variant{
		fault.Leak:         fault.Change(fault.Leak, 3e-4, 0, 0.25, spots(airflow.SlotLeak, 0.75)),
		fault.Blockage:     fault.Change(fault.Blockage, 2, 1.5, 0.25, spots(airflow.SlotK, 0.5)),
		fault.FilterLoaded: fault.Change(fault.FilterLoaded, 2, 0, 0.25, spots(airflow.SlotFilter, 1)),
		fault.FanWeak:      fault.Change(fault.FanWeak, 0.08, 0, 0.25, spots(airflow.SlotSpeed, 1)),
	}
}

// A change moves its coefficient either way by so many units, and its slope is what a
// small change does, all the way to where a port or a filter costs nothing.
func TestAChangeGoesEitherWay(t *testing.T) {
	r := kit.NewRules(t)
	want := map[fault.Kind]func(was, z float64) float64{
		fault.Leak:         func(was, z float64) float64 { return was + z*3e-4*0.75 },
		fault.Blockage:     func(was, z float64) float64 { return was + z*2*0.5 },
		fault.FilterLoaded: func(was, z float64) float64 { return was * (1 + 2*z) },
		fault.FanWeak:      func(was, z float64) float64 { return was * math.Exp(0.08*z) },
	}
	for kind, v := range changes() {
		require.Equal(t, fault.SeverityPrior{Mean: 0, Sd: 0.25}, v.Usual())
		slot := v.Spots[0].Slot
		at := func(z float64) (float64, []fault.Slope) {
			c := r.M.Coefs()
			if kind == fault.Blockage {
				*slot.Of(&c) = 1.5
			}
			v.Apply(&c, z)
			return *slot.Of(&c), v.Slopes(&c, z)
		}
		was, _ := at(0)
		for _, z := range []float64{-0.2, 0.3, 2} {
			got, _ := at(z)
			require.InEpsilon(t, want[kind](was, z), got, 1e-12, "%s at %g", kind, z)
		}
		for _, z := range []float64{-3, -1.4, -0.76, -0.74, -0.26, -0.24, 0, 1.2} {
			const e = 1e-5
			more, _ := at(z + e)
			less, _ := at(z - e)
			_, slopes := at(z)
			require.Len(t, slopes, 1)
			require.Equal(t, slot, slopes[0].Slot)
			require.InDelta(t, (more-less)/(2*e), slopes[0].By, 1e-5*math.Abs(slopes[0].By)+1e-9, "%s at %g", kind, z)
			if kind == fault.Blockage || kind == fault.FilterLoaded {
				require.Positive(t, less, "%s at %g", kind, z)
				require.Less(t, less, more)
			}
		}
	}
}

// What is left of the filter and the fan as they were: all that a change leaves, the
// filter's multiple of a fault, nothing of a weak fan, whose speed is the fault's.
func TestWhatAVariantKeeps(t *testing.T) {
	all := changes()
	require.InEpsilon(t, 1.4, all[fault.FilterLoaded].Keeps(0.2), 1e-12)
	require.InEpsilon(t, 0.5*math.Exp(-2), all[fault.FilterLoaded].Keeps(-0.75), 1e-12)
	require.InEpsilon(t, math.Exp(0.016), all[fault.FanWeak].Keeps(0.2), 1e-12)
	require.Equal(t, 1.0, all[fault.Leak].Keeps(0.2))
	require.Equal(t, 2.0, (&fault.Variant{Kind: fault.FilterLoaded}).Keeps(0))
	require.Zero(t, (&fault.Variant{Kind: fault.FanWeak}).Keeps(0))
}
