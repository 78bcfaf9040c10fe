package round_test

import (
	"context"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/internal/kit"
	"lostair/diagnose/round"
	"lostair/diagnose/trial"
	"lostair/readings"
	"lostair/readings/units"
)

// slipsOf are ten kinds of slip of a reading: what is typed in place of the value.
// "" where the slip can't be made.
func slipsOf(t *testing.T, c *trial.Case, q *round.Question, row readings.Row) map[string]string {
	in := func(v float64, u string) string {
		x, err := units.Convert(v, row.Quantity.Dimension(), u)
		require.NoError(t, err)
		return strconv.FormatFloat(x, 'g', 4, 64)
	}
	text := in(row.Value, row.Unit)
	out := map[string]string{"ten times": in(10*row.Value, row.Unit), "a tenth": in(row.Value/10, row.Unit), "a hundred times": in(100*row.Value, row.Unit)}
	if row.Quantity == units.StaticPressure {
		out["sign"] = in(-row.Value, row.Unit)
		out["sign and point"] = in(-row.Value/10, row.Unit)
		for i, u := range []string{"inH2O", "mmH2O", "Pa"} {
			if u != row.Unit {
				out["unit "+strconv.Itoa(i)] = in(row.Value, u)
			}
		}
	} else if row.Quantity == units.MeanVelocity {
		u := "fpm"
		if row.Unit == u {
			u = "m/s"
		}
		out["unit"] = in(row.Value, u)
	}
	if i := strings.IndexAny(text, "123456789"); i >= 0 && i+1 < len(text) && text[i+1] > text[i]+2 && text[i+1] <= '9' {
		out["digits"] = text[:i] + string(text[i+1]) + string(text[i]) + text[i+2:]
	}
	if len(row.Open.Gates) == 1 {
		for _, g := range c.System.Gates() {
			if g == row.Open.Gates[0] {
				continue
			}
			v, err := c.Read(readings.Open{Gates: []string{g}}, nil, row.Point, row.Quantity, 1)
			if err == nil && math.Abs(v-row.Value) > 0.3*math.Abs(row.Value) { // as trial: a slip that shows
				out["another gate"] = in(v, row.Unit)
			}
		}
		if v, err := c.Read(readings.Open{}, nil, row.Point, row.Quantity, 1); err == nil && math.Abs(v-row.Value) > 0.3*math.Abs(row.Value) {
			out["gate shut"] = in(v, row.Unit)
		}
	}
	return out
}

// Slips are asked about on the spot, and right values are not.
func TestSlipsAreAskedAbout(t *testing.T) {
	asked, made, wrongly, right := 0, 0, 0, 0
	byKind := map[string][2]int{}
	for seed := uint64(1); seed <= uint64(kit.Some(3, 40)); seed++ {
		o := beyond(seed)
		o.Sound = seed%2 == 0
		c, err := trial.NewCase(seed, o)
		require.NoError(t, err)
		p := &player{c: c}
		complaint := round.Complaint{Kind: round.WeakPort, Port: c.System.Ports[0].ID}
		for range 5 {
			r, err := round.Begin(context.Background(), round.Situation{System: c.System, Survey: surveyOf(t, c, p.rows), Complaint: complaint})
			require.NoError(t, err)
			list, err := r.Questions(context.Background(), 8)
			require.NoError(t, err)
			q := list[0]
			for _, x := range list {
				if x.Row.Look == "" && x.NewTap == nil {
					q = x
					break
				}
			}
			row, ok := p.answers(&q)
			if !ok || row.Look != "" {
				break
			}
			judge := func(text string) bool {
				typed, explicit, err := r.Typed(&q, text, row.Unit)
				require.NoError(t, err)
				_, odd, err := r.Judge(&q, &typed, explicit)
				require.NoError(t, err)
				return odd
			}
			v, err := units.Convert(row.Value, row.Quantity.Dimension(), row.Unit)
			require.NoError(t, err)
			right++
			if judge(strconv.FormatFloat(v, 'g', 6, 64)) {
				wrongly++
				t.Logf("case %d: the right value %.4g %s of %s is asked about", seed, v, row.Unit, q.Key())
			}
			for kind, text := range slipsOf(t, c, &q, row) {
				n := byKind[kind]
				made, n[1] = made+1, n[1]+1
				if judge(text) {
					asked, n[0] = asked+1, n[0]+1
				}
				byKind[kind] = n
			}
			p.rows = append(p.rows, row)
		}
	}
	t.Logf("asked about %d of %d slips, and %d of %d right values; by kind %v", asked, made, wrongly, right, byKind)
	// Measured over ten of these shops, which vary twice as much as the program takes
	// for granted: 320 of 379 slips, 2 of 50 right values. The aim is 85 % and 3 %.
	require.GreaterOrEqual(t, float64(asked), 0.8*float64(made))
	require.LessOrEqual(t, float64(wrongly), math.Max(2, 0.1*float64(right)))
}
