package diagnose

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/fault"
)

// What cures most of a shortage for its minutes comes first; of what cures none,
// what brings most air for them; of equals, the cheaper.
func TestFixesAreInTheOrderToDoThem(t *testing.T) {
	fix := func(do string, cost int, before, after, need float64) Fix {
		return Fix{For: []fault.Candidate{{Where: do}}, Cost: cost, Gains: []Gain{{Before: before, After: fault.Interval{Value: after}, Need: need}}}
	}
	r := Result{Fixes: []Fix{
		fix("nothing, dear", costHour, 1, 1, 0),
		fix("nothing, cheap", costMinutes, 1, 1, 0),
		fix("air, an hour", costHour, 1, 1.3, 0),             // 0.3 in 60 minutes
		fix("air, minutes", costMinutes, 1, 1.1, 0),          // 0.1 in 15
		fix("short by little, an hour", costHour, 1, 2, 1.3), // cures 0.3 in 60
		fix("short, rebuild", costRebuild, 1, 9, 9),          // cures 8 in 2400
		fix("short, parts", costParts, 1, 5, 3),              // cures 2 in 240
	}}
	inOrder(&r)
	var got []string
	for _, f := range r.Fixes {
		got = append(got, f.For[0].Where)
	}
	require.Equal(t, []string{"short, parts", "short by little, an hour", "short, rebuild", "air, minutes", "air, an hour", "nothing, cheap", "nothing, dear"}, got)
}

// A gain starts from the flow that the port is said to have, and keeps its ratio.
func TestGainsStartFromNow(t *testing.T) {
	gains := []Gain{{Port: "a", Before: 2, After: fault.Interval{Value: 3, Low: 2.5, High: 4}}, {Port: "b", Before: 2, After: fault.Interval{Value: 3}}}
	fromNow(gains, []PortFlow{{Port: "a", Flow: fault.Interval{Value: 4}}})
	require.Equal(t, Gain{Port: "a", Before: 4, After: fault.Interval{Value: 6, Low: 5, High: 8}}, gains[0])
	require.Equal(t, 2.0, gains[1].Before)
}
