package diagnose

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/fault"
)

// The likeliest comes first; of those that are written alike, what is broken stays before
// what is too small, whatever the last digits.
func TestTheLikeliestComesFirst(t *testing.T) {
	of := func(k fault.Kind, p float64) fault.Candidate { return fault.Candidate{Kind: k, Probability: p} }
	r := &Result{Candidates: []fault.Candidate{of(fault.Leak, 0.3), of(fault.FanWeak, 0.99999), of(fault.Undersized, 0.999996), of(fault.Blockage, 0.3002)}}
	for _, c := range r.Candidates {
		r.Faults = append(r.Faults, Fault{Candidate: c})
	}
	sortFaults(r)
	want := []fault.Kind{fault.FanWeak, fault.Undersized, fault.Blockage, fault.Leak}
	for i, k := range want {
		require.Equal(t, k, r.Candidates[i].Kind)
		require.Equal(t, k, r.Faults[i].Kind)
	}
}
