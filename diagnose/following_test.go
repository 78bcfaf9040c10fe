package diagnose_test

import (
	"bytes"
	"context"
	"flag"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/trial"
	"lostair/diagnose/trial/survey"
	"lostair/readings"
	"lostair/readings/units"
)

var followCases = flag.Int("follow", 3, "how many cases TestFollowingNext follows")

// enoughCases is how many cases make the readings that are saved worth counting.
const enoughCases = 8

// asGood is how far below the list's last mean probability counts as reaching
// it: over ten cases the mean itself is no better known.
const asGood = 0.02

// first readings that everyone takes, before the two ways part.
const firstReadings = 5

// TestFollowingNext: from the same five readings, taking what is proposed next
// names the truth with fewer readings than taking the survey's rows as listed.
func TestFollowingNext(t *testing.T) {
	kit.Long(t, "following what to read next")
	kinds := []string{"blockage", "leak", "gate-restricted", "fan-weak", "filter-loaded", "gate-leaking"}
	const most = 24
	listed, followed := make([]float64, most+1), make([]float64, most+1)
	n := 0
	for seed := uint64(100); n < *followCases; seed++ {
		c, err := trial.NewCase(seed, trial.Options{Ports: 5, Style: survey.Rich, Baseline: trial.No, Wrong: trial.No, Join: trial.MomentumLaw,
			Kinds: []string{kinds[int(seed)%len(kinds)]}})
		require.NoError(t, err)
		if len(c.Survey.Rows) < most || !observable(c) {
			continue
		}
		n++
		rows := c.Survey.Rows
		for k := firstReadings; k <= most; k++ {
			listed[k] += given(t, c, rows[:k])
		}
		own := append([]readings.Row(nil), rows[:firstReadings]...)
		for k := firstReadings; k <= most; k++ {
			r := diagnosed(t, c, own)
			followed[k] += truth(c, r)
			own = append(own, proposed(t, c, r, k, rows))
		}
	}
	half := -1
	for k := firstReadings; k <= most; k++ {
		t.Logf("%d readings: listed %.3f, followed %.3f", k, listed[k]/float64(n), followed[k]/float64(n))
		if half < 0 && followed[k] >= listed[most]-asGood*float64(n) {
			half = k
		}
	}
	t.Logf("the mean probability that %d listed readings reach is reached with %d followed ones", most, half)
	// A few cases are noise at the end, where a fault that no reading shows or a
	// group that none tells apart decides; early on the lead is plain.
	var lead float64
	for k := firstReadings + 1; k <= firstReadings+5; k++ {
		lead += (followed[k] - listed[k]) / 5 / float64(n)
	}
	require.Greater(t, lead, 0.05, "after one to five more readings")
	if n >= enoughCases {
		require.Positive(t, half, "following never reaches what the list reaches")
		require.LessOrEqual(t, half-firstReadings, (most-firstReadings+1)/2)
	}
}

func observable(c *trial.Case) bool {
	for _, f := range c.Truth.Faults {
		if f.Main() {
			return f.SNR > 5
		}
	}
	return false
}

func diagnosed(t *testing.T, c *trial.Case, rows []readings.Row) *diagnose.Result {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, readings.Write(&b, rows, c.System.Units))
	s, bad := readings.Load(&b, "own.csv", c.System.Units)
	require.NoError(t, bad.Err())
	r, err := diagnose.Diagnose(context.Background(), c.System, s, diagnose.Options{})
	require.NoError(t, err)
	return r
}

func given(t *testing.T, c *trial.Case, rows []readings.Row) float64 {
	return truth(c, diagnosed(t, c, rows))
}

// truth is the probability of the true fault, alone or through its group.
func truth(c *trial.Case, r *diagnose.Result) float64 {
	for _, f := range c.Truth.Faults {
		if !f.Main() {
			continue
		}
		for _, g := range r.Groups {
			for _, m := range g.Members {
				if m.Kind.String() == f.Kind && m.Where == f.Where {
					return g.Together
				}
			}
		}
	}
	return 0
}

// proposed takes the reading that is proposed first and can be taken with an
// instrument at a tap that is there; if none is proposed, the next of the list.
func proposed(t *testing.T, c *trial.Case, r *diagnose.Result, k int, list []readings.Row) readings.Row {
	t.Helper()
	for _, x := range r.Next {
		if x.Quantity == units.NoQuantity || strings.HasPrefix(x.Point, "new tap") {
			continue
		}
		v, err := c.Read(x.Open, x.HoseOff, x.Point, x.Quantity, k)
		if err != nil {
			continue
		}
		return readings.Row{Open: x.Open, HoseOff: x.HoseOff, Point: x.Point, Quantity: x.Quantity, Value: v,
			Unit: x.Quantity.Dimension().Symbol(c.System.Units), Instrument: c.Instrument(x.Quantity), Date: list[0].Date}
	}
	return list[k%len(list)]
}
