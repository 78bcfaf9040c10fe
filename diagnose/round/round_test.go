package round_test

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/round"
	"lostair/readings"
	"lostair/readings/units"
)

func begin(t *testing.T, sys *duct.System, c round.Complaint, left ...round.Left) *round.Round {
	t.Helper()
	r, err := round.Begin(context.Background(), round.Situation{System: sys, Complaint: c, Left: left})
	require.NoError(t, err)
	return r
}

func questions(t *testing.T, r *round.Round, n int) []round.Question {
	t.Helper()
	q, err := r.Questions(context.Background(), n)
	require.NoError(t, err)
	return q
}

func TestTheComplaintAsksFirst(t *testing.T) {
	sys := kit.DemoSystem(t)
	q := questions(t, begin(t, sys, round.Complaint{Kind: round.WeakPort, Port: "saw"}), 2)
	require.Len(t, q, 2)
	assert.Equal(t, "saw|saw|velocity|", q[0].Key())
	assert.True(t, q[0].Moves)
	assert.True(t, q[0].HasSound)
	assert.Equal(t, "saw|T-saw|static_pressure|", q[1].Key())
	assert.False(t, q[1].Moves, "the gates stand as they did")
	all := questions(t, begin(t, sys, round.Complaint{Kind: round.AllWeak}), 1)
	assert.Equal(t, "none", all[0].Row.Open.String())
	assert.False(t, begin(t, sys, round.Complaint{Kind: round.Monthly}).Enough().Yes, "nothing was read")
}

func TestWhatIsLeftIsNotAsked(t *testing.T) {
	sys := kit.DemoSystem(t)
	c := round.Complaint{Kind: round.WeakPort, Port: "saw"}
	text := round.Left{Point: "saw", Why: round.OutReach}.String() + "\n" + round.Left{Key: "saw|T-saw|static_pressure|", Why: round.Skipped}.String()
	left := round.LeftIn(text)
	require.Len(t, left, 2)
	for _, q := range questions(t, begin(t, sys, c, left...), 6) {
		assert.NotEqual(t, "saw", q.Row.Point)
		assert.NotEqual(t, left[1].Key, q.Key())
	}
}

func TestComplaintsAreReadBack(t *testing.T) {
	sys := kit.DemoSystem(t)
	for _, c := range round.Complaints(sys) {
		got, err := round.ParseComplaint(sys, round.ComplaintIn(c.Comment()+"\ndate,open\n"))
		require.NoError(t, err)
		assert.Equal(t, c, got)
	}
	_, err := round.ParseComplaint(sys, "boredom")
	assert.ErrorContains(t, err, "monthly check")
}

func TestValuesAsPeopleTypeThem(t *testing.T) {
	sys := kit.DemoSystem(t)
	r := begin(t, sys, round.Complaint{})
	for _, c := range []struct {
		q    units.Quantity
		text string
		want float64
	}{
		{units.StaticPressure, "-4.9", -4.9},
		{units.StaticPressure, "−1,2 kPa", -1200},
		{units.StaticPressure, "-4.9 in", -4.9 * 249.08891}, // conventional inch of water, as in package units
		{units.StaticPressure, `-4.9"`, -4.9 * 249.08891},
		{units.StaticPressure, "-120 mm", -120 * 9.80665},
		{units.MeanVelocity, "4000 fpm", 4000 * 0.3048 / 60},
	} {
		q := round.Question{Row: readings.Row{Point: "T-saw", Quantity: c.q, Value: math.NaN()}}
		row, _, err := r.Typed(&q, c.text, "")
		require.NoError(t, err, c.text)
		assert.InDelta(t, c.want, row.Value, 1e-6, c.text)
	}
	for _, text := range []string{"", "abc", "1.2.3", "5 apples", "1,500"} {
		_, _, err := r.Typed(&round.Question{Row: readings.Row{Quantity: units.StaticPressure}}, text, "")
		assert.Error(t, err, text)
	}
	look := round.Question{Row: readings.Row{Look: readings.Hisses, Point: "main"}}
	row, _, err := r.Typed(&look, "Y", "")
	require.NoError(t, err)
	assert.True(t, row.Yes())
	_, _, err = r.Typed(&look, "perhaps", "")
	assert.ErrorContains(t, err, "yes or no")
}
