package fault_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/fault"
	"lostair/diagnose/handbook"
	"lostair/diagnose/internal/kit"
)

// A fault's severity goes into the coefficients as the contract measures it.
func TestFaultsChangeWhatTheyMust(t *testing.T) {
	r := kit.NewRules(t)
	for _, x := range fault.Sites(r.M) {
		v := x.Variants[0]
		c, was := r.M.Coefs(), r.M.Coefs()
		v.Apply(&c, 0.2)
		size := v.Severity(0.2)
		for _, sp := range v.Spots {
			got, before := *sp.Slot.Of(&c), *sp.Slot.Of(&was)
			want := map[fault.Kind]float64{fault.Leak: before + sp.Share*size, fault.Blockage: before + handbook.BlockageLoss(size), fault.GateRestricted: before + handbook.GateLoss(size),
				fault.GateLeaking: before + size, fault.FilterLoaded: before * size, fault.FanWeak: size}[x.Kind]
			require.InEpsilon(t, want, got, 1e-9, "%v at %s", x.Kind, x.Where)
		}
		if x.Kind == fault.FilterLoaded {
			require.Greater(t, v.Severity(-10), 1.0, "a loaded filter drops more than a clean one")
		}
	}
}
